"""Statistics of cycles: times between taps with the pauses taken out, their spread, and the pace.

Times are seconds. Quartiles are those of Hyndman and Fan's type 7 (linear interpolation
between order statistics), which is `statistics.quantiles(..., method="inclusive")` and the
default of common numerical libraries; "Sample quantiles in statistical packages",
The American Statistician 50 (1996).
"""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from statistics import median, quantiles

Span = tuple[datetime, datetime]
HOUR_S = 3600
FEWEST_FOR_QUARTILES = 4
FEW = 8  # below this a median may move a lot with the next cycle: common practice
MINUTE_S = 60


@dataclass(frozen=True)
class Spread:
    """Times in seconds: how many, their median, and the quartiles when there are enough."""

    n: int
    median_s: float
    low_s: float | None
    high_s: float | None

    @property
    def is_few(self) -> bool:
        """Whether there are so few that the figures may still move a lot."""
        return self.n < FEW


@dataclass(frozen=True)
class StepTime:
    """The times of one step of the cycle."""

    name: str
    times: Spread


@dataclass(frozen=True)
class CycleStatistics:
    """What the taps of a run say: cycles, pieces, times, the pace, and the steps, slowest first."""

    cycles: int
    pieces: int
    times: Spread | None
    pieces_per_hour: float | None
    steps: tuple[StepTime, ...]

    @property
    def slowest(self) -> StepTime | None:
        """The step with the largest median."""
        return self.steps[0] if self.steps else None


def worked_s(start: datetime, end: datetime, pauses: Iterable[Span] = ()) -> float:
    """Return the seconds from start to end without what lies in pauses, overlaps counted once.

    >>> at = lambda second: datetime(2026, 3, 2, 10, 0, second)
    >>> worked_s(at(0), at(50), [(at(10), at(20)), (at(15), at(25)), (at(45), at(59))])
    30.0
    """
    seconds, reached = (end - start).total_seconds(), start
    for begun, ended in sorted(pauses):
        first, last = max(begun, reached), min(ended, end)
        if last > first:
            seconds -= (last - first).total_seconds()
            reached = last
    return seconds


def cycle_times_s(taps: list[datetime], pauses: Iterable[Span] = ()) -> list[float]:
    """Return the worked seconds between taps in their order; n taps give n - 1 times."""
    taps, pauses = sorted(taps), list(pauses)
    return [worked_s(*pair, pauses) for pair in zip(taps, taps[1:], strict=False)]


def spread_of(times_s: list[float]) -> Spread | None:
    """Return the median and quartiles of times, or None when there are none.

    >>> spread_of([40.0, 42.0, 44.0, 50.0, 60.0])
    Spread(n=5, median_s=44.0, low_s=42.0, high_s=50.0)
    """
    if not times_s:
        return None
    low = high = None
    if len(times_s) >= FEWEST_FOR_QUARTILES:
        low, _middle, high = quantiles(times_s, n=4, method="inclusive")
    return Spread(len(times_s), median(times_s), low, high)


def step_times_s(
    starts: list[tuple[str, datetime]], pauses: Iterable[Span] = ()
) -> dict[str, list[float]]:
    """Return the worked seconds of each step by its name; the next row ends it, one without a name too.

    The last row is still running and has no time yet.
    """
    rows, pauses, found = sorted(starts, key=lambda row: row[1]), list(pauses), defaultdict(list)
    for (name, start), (_next, end) in zip(rows, rows[1:], strict=False):
        if name:
            found[name].append(worked_s(start, end, pauses))
    return dict(found)


def cycle_statistics(
    cycles: list[tuple[datetime, int]],
    starts: list[tuple[str, datetime]] = (),
    pauses: Iterable[Span] = (),
) -> CycleStatistics:
    """Return what taps (with the pieces of each), step starts and pauses say together.

    The pace is that of the time worked: the pieces of all cycles but the first, over the
    seconds from the first tap to the last without pauses.
    """
    cycles, pauses = sorted(cycles), list(pauses)
    times_s = cycle_times_s([at for at, _pieces in cycles], pauses)
    timed_pieces = sum(pieces for _at, pieces in cycles[1:])
    steps = [StepTime(name, spread_of(each)) for name, each in step_times_s(starts, pauses).items()]
    return CycleStatistics(
        cycles=len(cycles),
        pieces=sum(pieces for _at, pieces in cycles),
        times=spread_of(times_s),
        pieces_per_hour=HOUR_S * timed_pieces / sum(times_s) if sum(times_s) > 0 else None,
        steps=tuple(sorted(steps, key=lambda step: -step.times.median_s)),
    )


def clock_text(seconds: float) -> str:
    """Return whole seconds as a clock shows them.

    >>> clock_text(5.9), clock_text(83), clock_text(3725)
    ('0:05', '1:23', '1:02:05')
    """
    minutes, rest = divmod(max(0, int(seconds)), MINUTE_S)
    hours, minutes = divmod(minutes, MINUTE_S)
    return f"{hours}:{minutes:02d}:{rest:02d}" if hours else f"{minutes}:{rest:02d}"
