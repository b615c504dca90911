"""Which time of a run counts as work, and what it was spent on. Times are whole ms.

One rule for labour, machine and energy alike:

1. Where steps were timed, or at least two cycles counted, a run worked from the first of these taps to
   the last, without its pauses. A tap ends a cycle, so where the first tap is one, the median cycle
   is added for the cycle that it ended.
2. Else it worked from its opening to its closing, or to now, without its pauses.

A changeover stands beside that: pauses for a change of tooling where there were any, else the minutes
of the tooling register where the run before on the machine had other tooling.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime
from fractions import Fraction
from statistics import median

from workshop.calculations.cycles import Span, cycle_times_s, step_times_s, worked_s

MS = 1000
MINUTE_MS, HOUR_MS = 60 * MS, 3600 * MS
TAPS, OPENED = "taps", "opened"
PAUSED, REGISTER = "paused", "register"
FEWEST_TAPS = 2


@dataclass(frozen=True)
class Moments:
    """What was tapped in a run: cycles, starts of steps (without a name the clock stops), pauses, changeovers."""

    cycles: Sequence[datetime] = ()
    starts: Sequence[tuple[str, datetime]] = ()
    pauses: Sequence[Span] = ()
    changes: Sequence[Span] = ()  # those of the pauses that were a change of tooling


@dataclass(frozen=True)
class WorkTime:
    """The time worked, on what that rests, how much of it each step took, and the changeover."""

    worked_ms: int
    basis: str
    steps: tuple[tuple[str, int], ...] = ()
    changeover_ms: int = 0
    changeover_basis: str = ""

    @property
    def slowest(self) -> str:
        """The step that took the most time in all; empty when none was timed."""
        return self.steps[0][0] if self.steps else ""

    @property
    def other_ms(self) -> int:
        """Time worked that is in no step."""
        return max(0, self.worked_ms - sum(ms for _name, ms in self.steps))

    @property
    def worked_h(self) -> Fraction:
        """Hours worked, exactly."""
        return Fraction(self.worked_ms, HOUR_MS)

    @property
    def paid_h(self) -> Fraction:
        """Hours worked with the changeover."""
        return Fraction(self.worked_ms + self.changeover_ms, HOUR_MS)


def work_time(
    moments: Moments, opened: datetime, until: datetime, changeover_minutes: int = 0
) -> WorkTime:
    """Return the time that a run worked; `changeover_minutes` are those of the register where they apply.

    >>> at = lambda minute: datetime(2026, 3, 2, 10, minute)
    >>> found = work_time(Moments(cycles=[at(10), at(15), at(20)]), at(0), at(50))
    >>> found.worked_ms // MINUTE_MS, found.basis
    (15, 'taps')
    """
    pauses = list(moments.pauses)
    found = worked_between(moments, pauses)
    basis = OPENED if found is None else TAPS
    seconds = worked_s(opened, max(opened, until), pauses) if found is None else found
    steps = {name: ms(sum(times)) for name, times in timed(moments, pauses).items()}
    change_ms = sum(ms((end - start).total_seconds()) for start, end in moments.changes)
    register_ms = 0 if change_ms else changeover_minutes * MINUTE_MS
    return WorkTime(
        worked_ms=ms(max(0.0, seconds)),
        basis=basis,
        steps=tuple(sorted(steps.items(), key=lambda row: (-row[1], row[0]))),
        changeover_ms=change_ms + register_ms,
        changeover_basis=PAUSED if change_ms else (REGISTER if register_ms else ""),
    )


def timed(moments: Moments, pauses: Iterable[Span]) -> dict[str, list[float]]:
    """Return the seconds of each step."""
    return step_times_s(list(moments.starts), pauses)


def worked_between(moments: Moments, pauses: list[Span]) -> float | None:
    """Return the seconds worked from the first tap to the last; None when there are too few taps."""
    taps = sorted(moments.cycles)
    starts = sorted(at for _name, at in moments.starts)
    if len(taps) < FEWEST_TAPS and len(starts) < FEWEST_TAPS:
        return None
    every = sorted([*taps, *starts])
    seconds = worked_s(every[0], every[-1], pauses)
    if taps and every[0] == taps[0] and len(taps) >= FEWEST_TAPS:
        seconds += median(cycle_times_s(taps, pauses))
    return seconds


def ms(seconds: float) -> int:
    """Return whole ms."""
    return round(seconds * MS)
