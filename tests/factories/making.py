"""What happens while a run makes things, at moments counted from a fixed start."""

from datetime import datetime, timedelta
from uuid import uuid4
from zoneinfo import ZoneInfo

from inventory.actions.acts import Act
from tests.factories.workshop import make_run
from workshop.actions.cycles import count_cycle
from workshop.actions.pauses import pause_run, resume_run
from workshop.actions.steps import start_step

START = datetime(2026, 3, 2, 10, 0, tzinfo=ZoneInfo("UTC"))


def at(seconds: float) -> datetime:
    """Return the moment so many seconds after the start."""
    return START + timedelta(seconds=seconds)


def act_at(by, seconds: float, **more) -> Act:
    """Return an act at that moment."""
    return Act(key=more.pop("key", uuid4()), by=by, happened_at=at(seconds), **more)


def make_old_run(by, operation: str = "press", **more):
    """Return an open run that was opened at the start."""
    run = make_run(by, operation, **more)
    run.opened_at = START
    run.save()
    return run


def tap(run, by, seconds: float, **more):
    """Count a cycle at a moment."""
    return count_cycle(run=run, act=act_at(by, seconds, **more))


def step(run, by, name: str, seconds: float):
    """Start a step at a moment."""
    return start_step(run=run, name=name, act=act_at(by, seconds))


def pause(run, by, begin: float, end: float | None = None, reason: str = "break"):
    """Pause a run, and resume it when an end is given."""
    made = pause_run(run=run, reason=reason, act=act_at(by, begin))
    if end is not None:
        resume_run(run=run, act=act_at(by, end))
    return made
