"""Figures over many runs: how much of a charge became parts, and how much went missing.

By design, by machine and by operation; never by person. Masses are mg. A gap above zero is missing
mass. The uncertainty of a sum of gaps is that of all weighings behind it, as independent ones:
u = sqrt(sum of u^2), U = 2 u (JCGM 100, 5.1.2 and 6.2.1). A scale that reads wrong by the same share
each time is not covered by that. Quartiles are those of Hyndman and Fan's type 7, see `cycles`.
"""

from collections import defaultdict
from collections.abc import Callable, Hashable, Iterable
from dataclasses import dataclass
from math import sqrt
from statistics import median, quantiles

from inventory.calculations.weighing import expanded, quoted_beside

FEWEST_FOR_QUARTILES = 4
FEW = 8  # below so many runs a median may move a lot with the next one: common practice


@dataclass(frozen=True)
class RunFigure:
    """One closed run: what was loaded, what became parts, what went missing, and how sure that is."""

    design: str
    machine: str
    operation: str
    loaded_mg: int
    parts_mg: int
    gap_mg: int
    variance_mg2: float

    @property
    def yield_share(self) -> float:
        """Parts as a share of the charge; above 1 when a scale found more."""
        return self.parts_mg / self.loaded_mg

    @property
    def gap_share(self) -> float:
        """The gap as a share of the charge."""
        return self.gap_mg / self.loaded_mg

    @property
    def is_within(self) -> bool:
        """Whether its weighings explain its gap."""
        return abs(self.gap_mg) <= expanded(sqrt(self.variance_mg2))


@dataclass(frozen=True)
class Quartiles:
    """The middle of some shares; the quartiles are None below four of them."""

    low: float | None
    median: float
    high: float | None


@dataclass(frozen=True)
class YieldRow:
    """What runs of one kind made of their charges."""

    name: str
    runs: int
    loaded_mg: int
    parts_mg: int
    spread: Quartiles

    @property
    def share(self) -> float:
        """All parts as a share of all charges."""
        return self.parts_mg / self.loaded_mg

    @property
    def is_few(self) -> bool:
        """Whether there are so few runs that the figures may still move a lot."""
        return self.runs < FEW


@dataclass(frozen=True)
class GapRow:
    """What went missing in runs of one kind, in sum, with the expanded uncertainty of the sum."""

    name: str
    runs: int
    outside: int
    loaded_mg: int
    gap_mg: int
    expanded_mg: float
    spread: Quartiles

    @property
    def share(self) -> float:
        """The gap as a share of all charges."""
        return self.gap_mg / self.loaded_mg

    @property
    def quoted_mg(self) -> int:
        """The expanded uncertainty as it is told beside the gap: two digits, rounded up, or more."""
        return quoted_beside(self.expanded_mg, abs(self.gap_mg))

    @property
    def expanded_share(self) -> float:
        """The expanded uncertainty as a share of all charges."""
        return self.expanded_mg / self.loaded_mg

    @property
    def is_within(self) -> bool:
        """Whether the weighings explain the sum."""
        return abs(self.gap_mg) <= self.expanded_mg


def quartiles(shares: list[float]) -> Quartiles:
    """Return the median of some shares, and the quartiles when there are enough.

    >>> quartiles([0.5, 0.7, 0.8, 0.9, 0.9])
    Quartiles(low=0.7, median=0.8, high=0.9)
    """
    if len(shares) < FEWEST_FOR_QUARTILES:
        return Quartiles(None, median(shares), None)
    low, _middle, high = quantiles(shares, n=4, method="inclusive")
    return Quartiles(low, median(shares), high)


def grouped(
    figures: Iterable[RunFigure], key_of: Callable[[RunFigure], Hashable]
) -> dict[Hashable, list[RunFigure]]:
    """Return runs that were loaded with something by a key, in the order of the keys."""
    groups = defaultdict(list)
    for figure in figures:
        if figure.loaded_mg > 0 and key_of(figure):
            groups[key_of(figure)].append(figure)
    return dict(sorted(groups.items()))


def yield_rows(
    figures: Iterable[RunFigure], key_of: Callable[[RunFigure], Hashable]
) -> list[YieldRow]:
    """Return the yield of each group of runs that made parts."""
    made = (figure for figure in figures if figure.parts_mg)
    return [
        YieldRow(
            name=name,
            runs=len(group),
            loaded_mg=sum(figure.loaded_mg for figure in group),
            parts_mg=sum(figure.parts_mg for figure in group),
            spread=quartiles([figure.yield_share for figure in group]),
        )
        for name, group in grouped(made, key_of).items()
    ]


def gap_rows(figures: Iterable[RunFigure], key_of: Callable[[RunFigure], Hashable]) -> list[GapRow]:
    """Return the gap of each group of runs, with its expanded uncertainty."""
    return [
        GapRow(
            name=name,
            runs=len(group),
            outside=sum(1 for figure in group if not figure.is_within),
            loaded_mg=sum(figure.loaded_mg for figure in group),
            gap_mg=sum(figure.gap_mg for figure in group),
            expanded_mg=expanded(sqrt(sum(figure.variance_mg2 for figure in group))),
            spread=quartiles([figure.gap_share for figure in group]),
        )
        for name, group in grouped(figures, key_of).items()
    ]
