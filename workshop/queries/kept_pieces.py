"""Questions about pieces of sheet that a cut run keeps: of which design, how large, how heavy."""

from dataclasses import dataclass

from inventory.models import Form
from products.calculations.sheet_sizes import Size, mass_by_area_mg
from products.models import Design
from workshop.models import Load, Run
from workshop.queries.runs import STANDING


@dataclass(frozen=True)
class LoadedSheets:
    """The sheets of one design that were loaded into a run: their mass in mg, area and largest size.

    Area and size count those whose size is known; `largest` is None where none is.
    """

    design: Design
    mass_mg: int
    area_um2: int
    largest: Size | None

    def takes(self, size: Size) -> bool:
        """Return whether a piece of this size may come out of one of them."""
        return self.largest is None or size.fits_in(self.largest)

    def mass_of_mg(self, size: Size) -> int | None:
        """Return what a piece of this size should weigh, or None while no sheet has a known size."""
        if not self.area_um2:
            return None
        return mass_by_area_mg(self.mass_mg, self.area_um2, size.area_um2)


def loaded_sheets(run: Run) -> list[LoadedSheets]:
    """Return what sheets were loaded into a run and stand, by design, in one query."""
    loads = Load.objects.filter(charge__run=run, part__design__form=Form.SHEET, **STANDING)
    found = {}
    for load in loads.select_related("part__design").order_by("part__design__name", "pk"):
        found.setdefault(load.part.design, []).append(load)
    return [sheets_of(design, rows) for design, rows in found.items()]


def sheets_of(design: Design, loads: list[Load]) -> LoadedSheets:
    """Return the sheets of some loads as one."""
    sized = [load for load in loads if load.part.size]
    sizes = [load.part.size for load in sized]
    return LoadedSheets(
        design=design,
        mass_mg=sum(load.mass_mg for load in sized),
        area_um2=sum(load.part.size.area_um2 * load.pieces for load in sized),
        largest=max(sizes, key=lambda size: size.area_um2, default=None),
    )
