"""How often melted a charge is, and would be after a load, held against the limit of the design."""

from dataclasses import dataclass
from math import ceil

from inventory.calculations.melt_passes import PassFigures, mixed_passes, pass_figures
from inventory.models import Lot
from inventory.queries.make_ups import passes_of_lots
from inventory.queries.traces import MOST_PASSES
from products.calculations.pass_limits import FLOAT_NOISE, PassLimit
from workshop.models import Charge, Run


@dataclass(frozen=True)
class PassesAfter:
    """Which shares (0 to 1) of a load, and of its charge with it, were melted as often as a limit says."""

    limit: PassLimit
    of_load: float
    of_charge: float

    @property
    def percent(self) -> int:
        """The share of the charge in whole per cent, rounded up, so that it reads above the limit."""
        return ceil(self.of_charge * 100 - FLOAT_NOISE)


def passes_after(run: Run, charge: Charge, lot: Lot, mass_mg: int) -> PassesAfter | None:
    """Return the shares that some mg of a lot would make in a charge; None without a limit."""
    limit = run.design.pass_limit if run.design else None
    if limit is None:
        return None
    held = charge.lot if charge.lot_id and charge.lot.in_mg else None
    found = passes_of_lots(filter(None, (lot, held)))
    of_lot = found[lot.pk]
    parts = [(mass_mg, of_lot)] + ([(held.in_mg, found[held.pk])] if held else [])
    of_load, of_charge = (
        pass_figures(each).share_from(limit.times) for each in (of_lot, mixed_passes(parts))
    )
    return PassesAfter(limit, of_load, of_charge)


@dataclass(frozen=True)
class PassesNow:
    """The melt passes of a lot, and whether they are above the limit of the design of a run."""

    figures: PassFigures
    limit: PassLimit | None = None

    @property
    def limited_share(self) -> float:
        """The share (0 to 1) that was melted as often as the limit says or more."""
        return self.figures.share_from(self.limit.times) if self.limit else 0.0

    @property
    def told_share(self) -> float:
        """The same rounded up to a tenth of a per cent, so that what is above the limit reads above it."""
        return ceil(self.limited_share * 1000 - FLOAT_NOISE) / 1000

    @property
    def is_above(self) -> bool:
        """Whether it is above the limit."""
        return bool(self.limit) and self.limit.is_passed_by(self.limited_share)


def passes_now(run: Run, lot: Lot | None) -> PassesNow | None:
    """Return the melt passes of a lot that a run is loaded with, or None without a lot; in one query."""
    if lot is None:
        return None
    figures = pass_figures(passes_of_lots([lot])[lot.pk], last=MOST_PASSES)
    return PassesNow(figures, run.design.pass_limit if run.design else None)
