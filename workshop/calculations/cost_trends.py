"""Runs of one design over time, and what it would save to be faster or to leave less over.

Figures are exact fractions; quartiles are those of Hyndman and Fan's type 7, see `cycles`, and are told from
four runs on.

What one minute a piece saves: over the runs, pieces x what a minute of them costs (labour, the machine's
hour, and its energy by rated power and load), put on a year.

What one percent of offcut saves: with the share of the charge that becomes parts at y, one point of the charge
more in parts makes the same parts of a charge smaller by f = 0.01 / (y + 0.01). That saves f of what
was spent on working it, always, and f of what the charge cost where its offcuts are never used again. Both are
told, for offcuts that go back into a bin take their price along. Put on a year.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from fractions import Fraction

from workshop.calculations.rates import Rates
from workshop.calculations.run_costs import MG_PER_KG, RunCost
from workshop.calculations.run_figures import Quartiles, quartiles
from workshop.calculations.work_times import MINUTE_MS

MINUTES, KWH, COST, OFFCUT = "minutes", "kwh", "cost", "offcut"
FIGURES = (MINUTES, KWH, COST, OFFCUT)
YEAR_DAYS = 365
POINT = Fraction(1, 100)
MINUTES_PER_HOUR = 60


@dataclass(frozen=True)
class RunPoint:
    """One run of a design: what it took and cost, and what of its charge became what; masses in mg."""

    worked_ms: int
    kwh: Fraction | None
    cost: RunCost
    rates: Rates
    loaded_mg: int
    offcut_mg: int

    @property
    def figures(self) -> dict[str, Fraction]:
        """Its figures that are known: min a piece, kWh a good kg, money a piece, share of offcut."""
        found = {}
        if self.cost.pieces:
            found[MINUTES] = Fraction(self.worked_ms, MINUTE_MS * self.cost.pieces)
        if self.kwh is not None and self.cost.good_mg:
            found[KWH] = self.kwh * MG_PER_KG / self.cost.good_mg
        if self.cost.is_known and self.cost.pieces:
            found[COST] = self.cost.per_piece
        if self.loaded_mg:
            found[OFFCUT] = Fraction(self.offcut_mg, self.loaded_mg)
        return found


@dataclass(frozen=True)
class TrendRow:
    """A figure in one month: over how many runs, its spread, and of how many the cost is only "at least"."""

    runs: int
    spread: Quartiles
    least: int = 0


@dataclass(frozen=True)
class Saving:
    """Money in a year; "at least" where some of what it follows from is not known."""

    amount: Fraction
    is_least: bool


@dataclass(frozen=True)
class Savings:
    """What a year would save: by one minute a piece, by one percent of offcut that is used again, or is not."""

    minute: Saving
    offcut_used_again: Saving
    offcut_lost: Saving


def trend_row(points: Iterable[RunPoint], name: str) -> TrendRow | None:
    """Return a figure over some runs; None where no run knows it."""
    known = [(point.figures[name], point) for point in points if name in point.figures]
    if not known:
        return None
    least = sum(1 for _value, point in known if name == COST and point.cost.is_least)
    return TrendRow(len(known), quartiles([value for value, _point in known]), least)


def minute_cost(rates: Rates) -> tuple[Fraction, bool]:
    """Return what a minute of a run costs, and whether some of that is not known.

    >>> minute_cost(Rates("EUR", labour_per_h=Fraction(18), per_kwh=Fraction(3, 10), power_w=Fraction(4000),
    ...                   load_share=Fraction(1, 2)))
    (Fraction(31, 100), False)
    """
    drawn, price = rates.drawn_kw, rates.per_kwh
    energy = None if drawn is None or price is None else drawn * price
    known = [rates.labour_per_h, energy]
    per_h = sum(part for part in [*known, rates.machine_per_h] if part is not None)
    return Fraction(per_h) / MINUTES_PER_HOUR, None in known


def savings(points: Iterable[RunPoint], days: int) -> Savings:
    """Return what a year would save at the pace of some runs, which were closed within so many days."""
    rows = list(points)
    yearly = Fraction(YEAR_DAYS, max(1, days))
    minutes = [(point.cost.pieces, *minute_cost(point.rates)) for point in rows]
    minute = sum((pieces * each for pieces, each, _least in minutes), Fraction(0))
    work = material = Fraction(0)
    for point in rows:
        part = smaller_by(point)
        work += part * point.cost.work
        material += part * charge_cost(point)
    least = any(point.cost.is_least for point in rows)
    return Savings(
        minute=Saving(minute * yearly, any(least for _n, _each, least in minutes)),
        offcut_used_again=Saving(work * yearly, least),
        offcut_lost=Saving((work + material) * yearly, least),
    )


def smaller_by(point: RunPoint) -> Fraction:
    """Return by which share the charge of a run could be smaller, were one point of it more in parts.

    A run without offcut saves nothing: there is none to leave out.
    """
    if not point.loaded_mg or not point.offcut_mg:
        return Fraction(0)
    less = min(POINT, Fraction(point.offcut_mg, point.loaded_mg))
    return less / (Fraction(point.cost.good_mg, point.loaded_mg) + less)


def charge_cost(point: RunPoint) -> Fraction:
    """Return what all that was loaded cost, by what a kg of what was used up cost."""
    if not point.cost.used_mg:
        return Fraction(0)
    return (point.cost.material or Fraction(0)) * point.loaded_mg / point.cost.used_mg
