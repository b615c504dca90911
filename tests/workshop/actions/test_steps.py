"""Steps of a cycle are started and stopped."""

import pytest

from tests.factories.book import refused, written
from tests.factories.making import act_at, make_old_run, pause, step
from workshop.actions.steps import start_step, stop_step
from workshop.queries.steps import running_step

pytestmark = pytest.mark.django_db


@pytest.fixture
def run(operator):
    return make_old_run(operator)


def test_a_tap_starts_a_step(operator, run):
    started = step(run, operator, "heat", 60)
    assert running_step(run) == started


def test_the_next_step_takes_the_place_of_the_last(operator, run):
    step(run, operator, "heat", 60)
    assert step(run, operator, "press", 90) == running_step(run)


def test_a_stop_leaves_no_step_running(operator, run):
    step(run, operator, "heat", 60)
    stop_step(run=run, act=act_at(operator, 90))
    assert running_step(run) is None


def test_refuses_a_step_of_another_operation(operator, run):
    with refused("wrong-step"):
        start_step(run=run, name="tumble", act=act_at(operator, 60))


def test_refuses_a_step_without_a_name(operator, run):
    with refused("wrong-step"):
        start_step(run=run, name="", act=act_at(operator, 60))


def test_refuses_to_stop_when_nothing_runs(operator, run):
    with refused("no-step"):
        stop_step(run=run, act=act_at(operator, 60))


def test_refuses_to_start_a_step_in_a_pause(operator, run):
    pause(run, operator, 10)
    with refused("paused"):
        step(run, operator, "heat", 60)


def test_a_repeated_start_or_stop_changes_nothing(operator, run):
    start, stop = act_at(operator, 60), act_at(operator, 90)
    start_step(run=run, name="heat", act=start), stop_step(run=run, act=stop)
    before = written()
    start_step(run=run, name="heat", act=start), stop_step(run=run, act=stop)
    assert written() == before
