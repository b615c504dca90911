"""Questions before weighing out: which bins take what comes out."""

from dataclasses import dataclass

from inventory.models import Bin, Lot, Material
from inventory.queries.bins import fills_of, fitting_bins

MOST_BINS = 12


@dataclass(frozen=True)
class BinChoice:
    """A bin that would take a material, with its fill; `is_same` when it holds the very same."""

    bin: Bin
    fill: Lot | None
    is_same: bool

    @property
    def room_mg(self) -> int:
        """Milligrams that still go into it."""
        return self.bin.capacity_mg - (self.fill.held_mg if self.fill else 0)


def bins_for(material: Material) -> list[BinChoice]:
    """Return the bins that would take a material, best first, in two queries.

    Bins that hold the same polymer, colour and form come first, then the same polymer and
    colour, then the bin for mixed colours of that polymer, last empty ones. Never a bin of
    another polymer, on hold, retired or full.
    """
    lot = Lot(polymer=material.polymer, colour=material.colour, form=material.form)
    bins = fitting_bins(lot, most=MOST_BINS)
    fills = fills_of(bins)
    choices = [
        BinChoice(bin, fill, bool(fill) and fill.material == material)
        for bin, fill in ((bin, fills.get(bin.pk)) for bin in bins)
    ]
    return sorted(choices, key=lambda choice: not choice.is_same)
