"""Which closed runs a process sheet learns from, and the middle of what they had.

The rule: a run worked when it was closed and not abandoned, made parts, and rejected no larger a share
of what it worked than the median over the design's closed runs. That its gap is explained is no
question any more: no run closes before its gap lies within U or its loss is named. Below three
closed runs their median says nothing, and all of them count. Masses are whole mg.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from statistics import median

from workshop.calculations.plans import FEWEST_RUNS, PART
from workshop.calculations.run_figures import quartiles

REJECT, LEFTOVER = "reject", "leftover"
MOST_NOTES = 3


@dataclass(frozen=True)
class Outcome:
    """What one closed run worked and gave: `given_mg` by kind of yield; `worked_mg` is without leftover."""

    key: int
    worked_mg: int
    pieces: int
    given_mg: Mapping[str, int]

    def share(self, kind: str) -> float:
        """A kind as a share of what was worked."""
        return self.given_mg.get(kind, 0) / self.worked_mg

    @property
    def made_parts(self) -> bool:
        """Whether there is anything to learn from it."""
        return self.worked_mg > 0 and self.pieces > 0


@dataclass(frozen=True)
class Middle:
    """The median over some runs, one figure for each; the quartiles are None below four of them."""

    runs: int
    median: float
    low: float | None = None
    high: float | None = None

    @property
    def is_few(self) -> bool:
        """Whether it rests on fewer than three runs."""
        return self.runs < FEWEST_RUNS


def middle_of(figures: Iterable[float]) -> Middle | None:
    """Return the median and quartiles of figures, one for each run; None without any.

    Quartiles are Hyndman and Fan's type 7, see `cycles`.

    >>> middle_of([228.0, 230.0, 231.0, 240.0])
    Middle(runs=4, median=230.5, low=229.5, high=233.25)
    """
    figures = list(figures)
    if not figures:
        return None
    spread = quartiles(figures)
    return Middle(len(figures), spread.median, spread.low, spread.high)


def that_worked(closed: Iterable[Outcome]) -> list[Outcome]:
    """Return those of a design's closed runs that worked, by the rule above.

    >>> runs = [Outcome(n, 1000, 1, {"reject": mg}) for n, mg in enumerate((10, 20, 90))]
    >>> [run.key for run in that_worked(runs)]
    [0, 1]
    """
    made = [each for each in closed if each.made_parts]
    if len(made) < FEWEST_RUNS:
        return made
    most = median(each.share(REJECT) for each in made)
    return [each for each in made if each.share(REJECT) <= most]


def best_first(worked: Iterable[Outcome]) -> list[Outcome]:
    """Return runs by their smallest share of rejects, then by the largest of parts, then the newest.

    >>> runs = [Outcome(n, 1000, 1, {"part": mg}) for n, mg in enumerate((900, 950, 900))]
    >>> [run.key for run in best_first(runs)]
    [1, 2, 0]
    """
    return sorted(worked, key=lambda each: (each.share(REJECT), -each.share(PART), -each.key))


def shares_of(worked: Iterable[Outcome]) -> dict[str, Middle]:
    """Return the middle of each kind's share that some run gave, over all of them."""
    runs = list(worked)
    kinds = dict.fromkeys(kind for each in runs for kind in each.given_mg if kind != LEFTOVER)
    return {kind: middle_of(each.share(kind) for each in runs) for kind in kinds}


def charge_of_a_piece_mg(worked: Iterable[Outcome]) -> Middle | None:
    """Return what was worked for one piece in mg, over the runs."""
    return middle_of(each.worked_mg / each.pieces for each in worked)


def read_in_runs(rows: Iterable[tuple[int, str, float]]) -> dict[str, Middle]:
    """Return the middle of each quantity: of the medians of the runs, so that each run counts once.

    >>> found = read_in_runs([(1, "melt", 230.0), (1, "melt", 232.0), (2, "melt", 240.0)])
    >>> found["melt"]
    Middle(runs=2, median=235.5, low=None, high=None)
    """
    by_quantity = {}
    for run, quantity, value in rows:
        by_quantity.setdefault(quantity, {}).setdefault(run, []).append(value)
    return {
        quantity: middle_of(median(values) for values in by_run.values())
        for quantity, by_run in by_quantity.items()
    }
