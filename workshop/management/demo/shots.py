"""What is counted, timed and read in a few runs of the invented year.

Its ids and its chance are its own, so that the rest of the story stays what it is.
"""

import random
from datetime import datetime, timedelta
from decimal import Decimal
from uuid import UUID

from django.contrib.auth.models import User

from inventory.actions.acts import Act
from products.actions.pass_limits import set_pass_limit
from products.actions.windows import WindowPlan, set_windows
from products.calculations.pass_limits import PassLimit
from workshop.actions.cycles import count_cycle, undo_cycle
from workshop.actions.pauses import pause_run, resume_run
from workshop.actions.readings import note_reading
from workshop.actions.steps import start_step, stop_step
from workshop.management.demo.floor import Floor, design
from workshop.models import Run

WINDOWS = {
    "Coat hook": (("melt", 205, 245), ("mould", 25, 45), ("clamp-force", 150, 300)),
    "Soap dish": (("melt", 205, 240), ("mould", 20, 45)),
    "Board 600 x 600 x 10": (("platen", 180, 205), ("press-force", 80, 160)),
}
NOTES = {
    "Board 600 x 600 x 10": (
        "25 min under light force, then 120 kN; cooled to 60",
        "platens 195, two layers",
    ),
    "Coat hook": ("barrel 226 / 222 / 215, hold 8 s", "barrel 230, mould warm, cool 26 s"),
}
PASS_LIMITS = {"Coat hook": PassLimit(times=1, most_percent=25)}
SHOT_STEPS = (("heat", 12), ("inject", 4), ("pack", 8), ("cool", 26), ("eject", 9))
OF_SHOTS, OF_SHEETS = 1000, 100_000  # seeds apart from each other and from those of visits
MOST_SHEETS = 10  # of one run
SHEET_STEPS = (("heat", 1500), ("press", 240), ("cool", 1300))


def set_demo_windows(floor: Floor) -> None:
    """Set the windows of a few designs, and how often melted material one of them takes."""
    clock = Clock(floor.now, floor.people["lead"], seed=0)
    for name, rows in WINDOWS.items():
        windows = [WindowPlan(what, Decimal(low), Decimal(high)) for what, low, high in rows]
        set_windows(design=design(name), windows=windows, act=clock.act())
    for name, limit in PASS_LIMITS.items():
        set_pass_limit(design=design(name), limit=limit, act=clock.act())


def noted(name: str, number: int) -> dict:
    """Return the settings note that somebody made for a run, for about every other one."""
    notes = NOTES.get(name, ())
    return {"settings_note": notes[number // 2 % len(notes)]} if notes and number % 2 else {}


class Clock:
    """The time within one run, with ids and chance of its own."""

    def __init__(self, at: datetime, by: User, *, seed: int):
        self.at, self.by = at, by
        self.rng = random.Random(seed)  # noqa: S311

    def act(self, seconds: float = 0) -> Act:
        """Return an act so many seconds later."""
        self.at += timedelta(seconds=seconds)
        key = UUID(int=self.rng.getrandbits(128), version=4)
        return Act(key=key, by=self.by, happened_at=self.at)

    def about(self, seconds: float) -> float:
        """Return a time that a hand needs: near this, now and then slow."""
        slow = 1.6 if self.rng.random() < 0.06 else 1
        return round(seconds * slow * self.rng.uniform(0.9, 1.12), 2)


def shoot(floor: Floor, run: Run, shots: int) -> None:
    """Count so many shots, with their steps, a pause, a slip that is undone, and readings."""
    clock = Clock(floor.now, run.operator, seed=OF_SHOTS + run.pk)
    readings(run, clock, {"melt": 228, "mould": 34, "clamp-force": 220})
    for number in range(shots):
        for name, seconds in SHOT_STEPS:
            start_step(run=run, name=name, act=clock.act(1))
            clock.at += timedelta(seconds=clock.about(seconds))
        count_cycle(run=run, act=clock.act())
        if number == shots // 2:
            pause_run(run=run, reason="material", note="hopper refilled", act=clock.act(5))
            resume_run(run=run, act=clock.act(clock.about(150)))
            count_cycle(run=run, act=clock.act(2))
            undo_cycle(run=run, act=clock.act(3))
    stop_step(run=run, act=clock.act(8))
    readings(run, clock, {"melt": 247, "mould": 41})
    floor.now = clock.at


def press_one(floor: Floor, run: Run, number: int = 0) -> Clock:
    """Time one sheet that is being pressed: it stands in the press and cools."""
    clock = Clock(floor.now, run.operator, seed=OF_SHEETS + run.pk * MOST_SHEETS + number)
    readings(run, clock, {"platen": 196, "press-force": 118})
    for name, seconds in SHEET_STEPS:
        start_step(run=run, name=name, act=clock.act(2))
        clock.at += timedelta(seconds=clock.about(seconds))
    return clock


def press_timed(floor: Floor, run: Run, number: int) -> None:
    """Time one sheet of a run until it is out of the press, and count it."""
    clock = press_one(floor, run, number)
    stop_step(run=run, act=clock.act(5))
    count_cycle(run=run, act=clock.act(40))
    floor.now = clock.at


def readings(run: Run, clock: Clock, values: dict[str, int]) -> None:
    """Note what the machine shows."""
    for quantity, value in values.items():
        shown = Decimal(value) + Decimal(clock.rng.randrange(-10, 11)) / 10
        note_reading(run=run, quantity=quantity, value=shown, act=clock.act(6))
