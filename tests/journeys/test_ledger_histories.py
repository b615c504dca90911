"""Random histories of the ledger through the real actions, beside a naive bookkeeper.

After every step: nothing is negative, what came in is held or gone, counters are the sums of
their transfers, the graph has no ring, every place holds what the bookkeeper says, and
whatever was refused wrote nothing. At the end every open lot consists of what
the bookkeeper says, and the book verifies. HISTORIES=500 runs more of them.
"""

import os
from collections import Counter

import pytest
from hypothesis import HealthCheck, settings
from hypothesis.stateful import run_state_machine_as_test

from tests.factories.inventory import KG, BinFactory, ScaleFactory, SourceFactory, colour, polymer
from tests.factories.people import make_person
from tests.factories.workshop import DesignFactory, MachineFactory
from tests.journeys.dividing import DividedHistories
from tests.journeys.mended_histories import MendedHistories

pytestmark = pytest.mark.django_db

HISTORIES = int(os.environ.get("HISTORIES", "12"))
SOME, MANY = 25, 100  # histories: then rarer refusals, and the rarest, must have been met too
STEPS = 40


@pytest.fixture
def shop():
    bins = {
        "A": BinFactory(name="A"),
        "B": BinFactory(name="B", colour=colour("mixed")),
        "C": BinFactory(
            name="C", polymer=polymer("PE-HD"), colour=colour("blue"), capacity_mg=8 * KG
        ),
        "D": BinFactory(name="D", capacity_mg=12 * KG),
    }
    machines = {
        "press": MachineFactory(kind="press"),
        "granulate": MachineFactory(kind="granulator"),
    }
    return {
        "bins": bins,
        "machines": machines,
        "design": DesignFactory(),
        "bags": DesignFactory(tracked="bag"),
        "by": make_person("lead"),
        "source": SourceFactory(),
        "scale": ScaleFactory(),
    }


def test_any_history_agrees_with_a_naive_bookkeeper(shop):
    chosen = settings(
        max_examples=HISTORIES,
        stateful_step_count=STEPS,
        suppress_health_check=list(HealthCheck),
        database=None,
    )
    story = type("Story", (DividedHistories,), {"shop": shop, "tried": Counter()})
    run_state_machine_as_test(story, settings=chosen)
    met = story.tried
    assert met["accepted"] > 10 * HISTORIES
    assert set(met) >= {
        "short",
        "overfull",
        "polymer-mismatch",
        "colour-mismatch",
        "divided",
        "pieces",
        ("counted", "agrees"),
        ("counted", True),
        ("counted", False),
    }
    assert HISTORIES < SOME or "book-changed" in met
    assert HISTORIES < MANY or {"later-postings", "nothing-booked"} <= set(met)


def test_any_history_with_corrections_agrees_with_one_told_anew(shop):
    chosen = settings(
        max_examples=HISTORIES,
        stateful_step_count=STEPS,
        suppress_health_check=list(HealthCheck),
        database=None,
    )
    story = type("Story", (MendedHistories,), {"shop": shop, "tried": Counter()})
    run_state_machine_as_test(story, settings=chosen)
    assert story.tried["mended"] > HISTORIES // 2
    assert set(story.tried) >= {"short", "wrong-place", "on-hold"}
