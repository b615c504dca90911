"""The length and width of a sheet, in um; the length runs along the pattern, where there is one."""

from dataclasses import dataclass

from products.calculations.cut_plans import MOST_MM, UM_PER_MM, mm, um

MOST_UM = MOST_MM * UM_PER_MM


@dataclass(frozen=True)
class Size:
    """A rectangle by its length and width in um."""

    length_um: int
    width_um: int

    @property
    def area_um2(self) -> int:
        """Return the area in um2."""
        return self.length_um * self.width_um

    def fits_in(self, other: "Size") -> bool:
        """Return whether it comes out of another size, either way round.

        >>> Size(300, 600).fits_in(Size(600, 400)), Size(500, 500).fits_in(Size(600, 400))
        (True, False)
        """
        own = sorted((self.length_um, self.width_um))
        room = sorted((other.length_um, other.width_um))
        return own[0] <= room[0] and own[1] <= room[1]

    def __str__(self):
        """Return it in mm, with spaces that do not break.

        >>> str(Size(600000, 400500)) == "600\N{NO-BREAK SPACE}×\N{NO-BREAK SPACE}400.5\N{NO-BREAK SPACE}mm"
        True
        """
        return f"{mm(self.length_um)}\u00a0×\u00a0{mm(self.width_um)}\u00a0mm"


def size_mm(length_mm, width_mm) -> Size:
    """Return a size typed in mm."""
    return Size(um(length_mm), um(width_mm))


def size_fields(size: Size | None) -> dict[str, int | None]:
    """Return a size, or that there is none, by the names of its fields.

    >>> size_fields(None)
    {'length_um': None, 'width_um': None}
    """
    return vars(size) if size else {"length_um": None, "width_um": None}


def mass_by_area_mg(mass_mg: int, of_um2: int, area_um2: int) -> int:
    """Return what an area weighs, by the mass of another area of the same sheets, in whole mg.

    >>> mass_by_area_mg(3_000_000, 600_000 * 600_000, 300_000 * 600_000)
    1500000
    """
    return round(mass_mg * area_um2 / of_um2)
