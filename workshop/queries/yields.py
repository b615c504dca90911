"""Questions before weighing out: which bins take what comes out."""

from dataclasses import dataclass

from django.db.models import Sum

from inventory.models import Bin, Lot, Material
from inventory.queries.bins import fills_of, fitting_bins
from workshop.models import Run, Yield
from workshop.queries.runs import STANDING

MOST_BINS = 12
PIECES = (Yield.Kind.PART, Yield.Kind.REJECT)
SAME, MIXED, OTHER_FORM, EMPTY = range(4)


@dataclass(frozen=True)
class BinChoice:
    """A bin that would take a material, with its fill; lower ranks suit better."""

    bin: Bin
    fill: Lot | None
    rank: int

    @property
    def is_same(self) -> bool:
        """Whether it holds the very same already."""
        return self.rank == SAME

    @property
    def is_suggested(self) -> bool:
        """Whether it holds the same polymer already, or is kept for that: one tap may accept it."""
        return self.fill is not None or self.bin.polymer_id is not None

    @property
    def room_mg(self) -> int:
        """Milligrams that still go into it."""
        return self.bin.capacity_mg - (self.fill.held_mg if self.fill else 0)


def bins_for(material: Material) -> list[BinChoice]:
    """Return the bins that would take a material, best first, in two queries.

    Bins that hold the same polymer, colour and form come first, then the bin for mixed
    colours of that polymer, then the same polymer and colour in another form for the same
    purpose, last empty ones. Never a bin of another polymer or purpose, on hold, retired or full.
    """
    lot = Lot(polymer=material.polymer, colour=material.colour, form=material.form)
    bins = fitting_bins(lot, most=MOST_BINS)
    fills = fills_of(bins)
    choices = [
        BinChoice(bin, fills.get(bin.pk), rank_of(fills.get(bin.pk), material)) for bin in bins
    ]
    return sorted(choices, key=lambda choice: choice.rank)


def rank_of(fill: Lot | None, material: Material) -> int:
    """Return how well a bin with this fill suits a material that it would take."""
    if fill is None:
        return EMPTY
    if fill.form != material.form:
        return OTHER_FORM
    return SAME if fill.colour == material.colour else MIXED


def pieces_to_weigh(run: Run) -> int:
    """Return how many pieces were counted in a run's cycles and not weighed out yet."""
    made = run.cycles.standing().aggregate(n=Sum("pieces"))["n"] or 0
    weighed = Yield.objects.filter(charge__run=run, kind__in=PIECES, **STANDING)
    return max(0, made - (weighed.aggregate(n=Sum("pieces"))["n"] or 0))
