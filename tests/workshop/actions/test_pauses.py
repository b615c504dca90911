"""A run pauses with a reason, and is resumed."""

import pytest

from tests.factories.book import refused, written
from tests.factories.making import act_at, make_old_run, pause, tap
from workshop.actions.pauses import pause_run, resume_run
from workshop.queries.pauses import open_pause

pytestmark = pytest.mark.django_db


@pytest.fixture
def run(operator):
    return make_old_run(operator)


def test_a_run_pauses_until_it_is_resumed(operator, run):
    begun = pause(run, operator, 10)
    assert open_pause(run) == begun
    assert resume_run(run=run, act=act_at(operator, 40)).ends == begun
    assert open_pause(run) is None


def test_work_goes_on_after_a_pause(operator, run):
    pause(run, operator, 10, 40)
    assert tap(run, operator, 60)


@pytest.mark.parametrize(("reason", "note"), [("", ""), ("tea", ""), ("other", " ")])
def test_refuses_a_pause_without_a_reason(operator, run, reason, note):
    with refused("reason"):
        pause_run(run=run, reason=reason, note=note, act=act_at(operator, 10))


def test_refuses_to_pause_twice(operator, run):
    pause(run, operator, 10)
    with refused("paused"):
        pause(run, operator, 20)


def test_refuses_to_resume_what_is_not_paused(operator, run):
    with refused("not-paused"):
        resume_run(run=run, act=act_at(operator, 10))


def test_refuses_to_end_a_pause_before_it_began(operator, run):
    pause(run, operator, 10)
    with refused("too-early"):
        resume_run(run=run, act=act_at(operator, 9))


def test_a_repeated_pause_and_its_repeated_end_change_nothing(operator, run):
    begin, end = act_at(operator, 10), act_at(operator, 40)
    pause_run(run=run, reason="break", act=begin), resume_run(run=run, act=end)
    before = written()
    pause_run(run=run, reason="break", act=begin), resume_run(run=run, act=end)
    assert written() == before
