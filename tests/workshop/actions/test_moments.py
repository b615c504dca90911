"""What every act on a run that is making asks for first."""

from datetime import timedelta

import pytest

from inventory.models import Change
from tests.factories.book import refused, written
from tests.factories.inventory import make_act
from tests.factories.making import START, act_at, make_old_run, pause, tap
from workshop.actions.cycles import count_cycle
from workshop.actions.runs import abandon_run

pytestmark = pytest.mark.django_db


@pytest.fixture
def run(operator):
    return make_old_run(operator)


def test_refuses_a_closed_run(operator, run):
    abandon_run(run=run, act=make_act(operator, "heater broke"))
    with refused("run-closed"):
        tap(run, operator, 60)


def test_refuses_a_moment_long_before_the_run_was_opened(operator, run):
    with refused("too-early"):
        tap(run, operator, -301)


def test_a_clock_that_is_a_little_behind_still_counts(operator, run):
    assert tap(run, operator, -299).happened_at < run.opened_at


def test_refuses_work_while_the_run_is_paused(operator, run):
    pause(run, operator, 10)
    with refused("paused"):
        tap(run, operator, 60)


def test_an_act_without_a_time_happened_when_it_came(operator, run):
    act = make_act(operator)
    assert count_cycle(run=run, act=act).happened_at == act.noted_at


def test_the_time_of_the_tap_and_that_of_the_book_are_both_kept(operator, run):
    cycle = tap(run, operator, 60)
    assert cycle.happened_at == START + timedelta(seconds=60)
    assert cycle.recorded_at > cycle.happened_at


def test_each_act_is_a_change_that_names_the_run(operator, run):
    cycle = tap(run, operator, 60)
    change = Change.objects.get(uuid=cycle.uuid)
    assert (change.verb, change.subject, change.row) == ("count cycle", run.code, cycle.pk)


def test_a_repeat_of_an_id_with_another_time_is_refused(operator, run):
    cycle = tap(run, operator, 60)
    with refused("key-reused"):
        tap(run, operator, 61, key=cycle.uuid)


def test_a_repeat_is_answered_as_the_first_time_even_when_the_run_is_closed(operator, run):
    act = act_at(operator, 60)
    cycle = count_cycle(run=run, act=act)
    abandon_run(run=run, act=make_act(operator, "heater broke"))
    before = written()
    assert count_cycle(run=run, act=act) == cycle
    assert written() == before
