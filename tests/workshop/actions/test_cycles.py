"""Cycles are counted, and taken back."""

from uuid import uuid4

import pytest

from tests.factories.book import refused, written
from tests.factories.making import act_at, make_old_run, pause, tap
from tests.factories.workshop import DesignFactory, ToolingFactory
from workshop.actions.cycles import count_cycle, undo_cycle
from workshop.models import Cycle

pytestmark = pytest.mark.django_db


@pytest.fixture
def run(operator):
    return make_old_run(operator)


def standing(run):
    return run.cycles.standing().count()


def test_a_tap_counts_one_cycle(operator, run):
    tap(run, operator, 60)
    assert standing(run) == 1


def test_a_repeated_tap_counts_once(operator, run):
    act = act_at(operator, 60)
    assert count_cycle(run=run, act=act) == count_cycle(run=run, act=act)
    assert standing(run) == 1


def test_a_cycle_gives_as_many_pieces_as_the_tooling_has_cavities(operator):
    run = make_old_run(operator, tooling=ToolingFactory(cavities=4))
    assert tap(run, operator, 60).pieces == 4


def test_later_changes_of_the_design_leave_counted_pieces_alone(operator):
    design = DesignFactory(pieces_per_cycle=6)
    run = make_old_run(operator, design=design)
    cycle = tap(run, operator, 60)
    design.pieces_per_cycle = 8
    design.save()
    cycle.refresh_from_db()
    assert cycle.pieces == 6


def test_an_undo_takes_the_last_cycle_back_and_keeps_both_rows(operator, run):
    first, last = tap(run, operator, 60), tap(run, operator, 120)
    undone = undo_cycle(run=run, act=act_at(operator, 125))
    assert undone.undoes == last
    assert list(run.cycles.standing()) == [first]
    assert Cycle.objects.count() == 3


def test_the_last_cycle_is_the_last_in_the_workshop_not_in_the_book(operator, run):
    late = tap(run, operator, 120)
    tap(run, operator, 60)
    assert undo_cycle(run=run, act=act_at(operator, 125)).undoes == late


def test_an_undo_may_name_its_cycle(operator, run):
    first, _last = tap(run, operator, 60), tap(run, operator, 120)
    assert undo_cycle(run=run, act=act_at(operator, 125), cycle=first.uuid).undoes == first


def test_a_repeated_undo_takes_back_one_cycle(operator, run):
    tap(run, operator, 60), tap(run, operator, 120)
    act = act_at(operator, 125)
    undo_cycle(run=run, act=act)
    before = written()
    undo_cycle(run=run, act=act)
    assert written() == before
    assert standing(run) == 1


def test_refuses_to_undo_when_nothing_was_counted(operator, run):
    with refused("no-cycle"):
        undo_cycle(run=run, act=act_at(operator, 60))


def test_refuses_to_undo_a_cycle_twice(operator, run):
    cycle = tap(run, operator, 60)
    undo_cycle(run=run, act=act_at(operator, 65), cycle=cycle.uuid)
    with refused("undone"):
        undo_cycle(run=run, act=act_at(operator, 66), cycle=cycle.uuid)


def test_refuses_to_undo_a_cycle_of_another_run(operator, run):
    cycle = tap(make_old_run(operator), operator, 60)
    with refused("no-cycle"):
        undo_cycle(run=run, act=act_at(operator, 65), cycle=cycle.uuid)


def test_refuses_to_undo_a_cycle_that_never_arrived(operator, run):
    tap(run, operator, 60)
    with refused("no-cycle"):
        undo_cycle(run=run, act=act_at(operator, 65), cycle=uuid4())


def test_refuses_to_undo_an_undoing(operator, run):
    tap(run, operator, 60)
    undone = undo_cycle(run=run, act=act_at(operator, 65))
    with refused("no-cycle"):
        undo_cycle(run=run, act=act_at(operator, 70), cycle=undone.uuid)


def test_a_slip_is_taken_back_during_a_pause_too(operator, run):
    tap(run, operator, 60)
    pause(run, operator, 70)
    undo_cycle(run=run, act=act_at(operator, 80))
    assert standing(run) == 0
