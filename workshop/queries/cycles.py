"""Questions about the cycles of a run: how many, how fast, what runs now."""

from dataclasses import dataclass
from datetime import datetime, timedelta

from workshop.calculations.cycles import CycleStatistics, cycle_statistics, worked_s
from workshop.calculations.steps import pieces_per_cycle
from workshop.models import Cycle, Pause, Run, Step
from workshop.queries.pauses import end_of, pauses_of, spans


def pieces_of_run(run: Run) -> int:
    """Return how many pieces one cycle of a run gives."""
    cavities = run.tooling.cavities if run.tooling else None
    return pieces_per_cycle(cavities, run.design.pieces_per_cycle if run.design else None)


def last_cycle(run: Run) -> Cycle | None:
    """Return the cycle of a run that was counted last and not taken back."""
    return run.cycles.standing().in_order().last()


@dataclass(frozen=True)
class RunningStep:
    """The step that runs: since when by the clock, and since when if pauses had not been."""

    step: Step
    worked_s: float
    since: datetime


@dataclass(frozen=True)
class Making:
    """How far a run has come: its cycles, statistics, the step that runs and the pause it is in."""

    statistics: CycleStatistics
    last: Cycle | None
    running: RunningStep | None
    pause: Pause | None
    pieces_per_cycle: int


def making_of(run: Run, now: datetime) -> Making:
    """Return how far a run has come by now, or by its closing; three queries whatever its length."""
    until = run.closed_at or now
    cycles = list(run.cycles.standing().in_order())
    steps = list(run.steps.in_order())
    pauses = list(pauses_of(run))
    breaks = spans(pauses, until)
    waiting = [pause for pause in pauses if end_of(pause) is None]
    statistics = cycle_statistics(
        [(cycle.happened_at, cycle.pieces) for cycle in cycles],
        [(step.name, step.happened_at) for step in steps],
        breaks,
    )
    return Making(
        statistics=statistics,
        last=cycles[-1] if cycles else None,
        running=None if run.closed_at else running(steps, breaks, now),
        pause=waiting[-1] if waiting and not run.closed_at else None,
        pieces_per_cycle=pieces_of_run(run),
    )


def running(steps: list[Step], breaks: list, now: datetime) -> RunningStep | None:
    """Return the step that runs now, with its time worked."""
    if not steps or not steps[-1].name:
        return None
    step = steps[-1]
    seconds = max(0.0, worked_s(step.happened_at, max(now, step.happened_at), breaks))
    return RunningStep(step, seconds, now - timedelta(seconds=seconds))
