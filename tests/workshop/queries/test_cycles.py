"""How far a run has come, at moments that stand still."""

import pytest

from tests.factories.making import act_at, at, make_old_run, pause, step, tap
from workshop.actions.cycles import undo_cycle
from workshop.queries.cycles import making_of

pytestmark = pytest.mark.django_db


@pytest.fixture
def run(operator):
    return make_old_run(operator)


def test_a_running_step_has_worked_since_its_start(operator, run):
    step(run, operator, "heat", 60)
    running = making_of(run, at(150)).running
    assert (running.step.name, running.worked_s) == ("heat", 90)


def test_a_pause_that_is_over_pushes_the_start_of_the_clock(operator, run):
    step(run, operator, "heat", 60)
    pause(run, operator, 70, 100)
    running = making_of(run, at(150)).running
    assert (running.worked_s, running.since) == (60, at(90))


def test_in_a_pause_the_time_of_the_step_stands_still(operator, run):
    step(run, operator, "heat", 60)
    pause(run, operator, 70)
    for now in (71, 5000):
        assert making_of(run, at(now)).running.worked_s == 10


def test_a_start_that_the_clock_has_not_reached_counts_as_now(operator, run):
    """A tablet a little ahead of the server may write a step that starts in two seconds."""
    step(run, operator, "heat", 62)
    assert making_of(run, at(60)).running.worked_s == 0


def test_a_cycle_taken_back_leaves_the_time_of_its_neighbours_whole(operator, run):
    for seconds in (0, 60, 61, 120):
        tap(run, operator, seconds)
    slip = run.cycles.get(happened_at=at(61))
    undo_cycle(run=run, act=act_at(operator, 125), cycle=slip.uuid)
    statistics = making_of(run, at(130)).statistics
    assert (statistics.cycles, statistics.times.median_s) == (3, 60)


def test_taps_that_arrive_late_take_their_place_in_time(operator, run):
    for seconds in (0, 120, 60):
        tap(run, operator, seconds)
    making = making_of(run, at(130))
    assert (making.statistics.times.median_s, making.last.happened_at) == (60, at(120))


def test_a_closed_run_has_no_running_step_and_no_pause(operator, run):
    step(run, operator, "heat", 60)
    pause(run, operator, 70)
    run.closed_at = at(100)
    making = making_of(run, at(150))
    assert (making.running, making.pause) == (None, None)


def test_three_questions_whatever_the_length(operator, run, django_assert_num_queries):
    for number in range(10):
        tap(run, operator, 60 * number)
        step(run, operator, "heat", 60 * number + 1)
    with django_assert_num_queries(3):
        making_of(run, at(700))
