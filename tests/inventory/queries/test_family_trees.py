"""Pictures of real lots."""

from datetime import timedelta

import pytest
from django.utils import timezone

from inventory.actions.lots import dispose_lot, move_lot
from inventory.models import Mass
from inventory.queries import family_trees
from inventory.queries.family_trees import Together, picture_of
from inventory.queries.lots import open_lot_in
from inventory.queries.pasts import Past
from tests.factories.inventory import KG, BinFactory, make_act, make_delivery, make_full_bin
from tests.factories.workshop import load, make_run, weigh_out
from tests.kept import kept
from workshop.actions.runs import close_run

pytestmark = pytest.mark.django_db


@pytest.fixture
def offcut(operator):
    """Offcuts of a bin that was topped up after it had given."""
    bin, lot = make_full_bin(operator)
    first = make_run(operator)
    load(first, lot, operator, KG)
    weigh_out(first, operator, "offcut", KG // 2, bin=BinFactory())
    make_delivery(operator, bin=bin)
    run = make_run(operator)
    load(run, open_lot_in(bin), operator, 2 * KG)
    place = BinFactory()
    weigh_out(run, operator, "offcut", KG, bin=place)
    return open_lot_in(place)


def names(picture):
    return sorted(each.name for each in picture.boxes)


def test_a_picture_names_every_lot_behind(offcut):
    shown = picture_of(offcut)
    assert shown.together == Together.NOTHING
    assert len(shown.boxes) == 5
    assert offcut.bin.name in names(shown)


def test_a_lot_that_only_came_from_outside_is_one_box(operator):
    lot = make_delivery(operator).lot
    assert names(picture_of(lot)) == [lot.delivery.number]


def test_what_is_too_much_is_taken_together(offcut, monkeypatch):
    monkeypatch.setattr(family_trees, "MOST_BOXES", 4)
    shown = picture_of(offcut)
    assert shown.together == Together.MONTH
    assert len(shown.boxes) <= 4


def test_a_group_is_opened_by_its_name(offcut):
    closed = picture_of(offcut, together="month")
    group = next(each.group for each in closed.boxes if each.group)
    opened = picture_of(offcut, together="month", opened=frozenset([group]))
    assert len(opened.boxes) > len(closed.boxes)


def test_what_fits_in_no_way_is_said_so(offcut, monkeypatch):
    monkeypatch.setattr(family_trees, "MOST_BOXES", 1)
    shown = picture_of(offcut)
    assert shown.is_too_large
    assert shown.boxes == []


@pytest.fixture
@kept
def delivered(operator):
    """A delivery of which some was pressed into a part and offcuts, and some was burnt."""
    lot = make_delivery(operator).lot
    run = make_run(operator)
    load(run, lot, operator, 4 * KG)
    weigh_out(run, operator, "part", 2 * KG, pieces=2)
    weigh_out(run, operator, "offcut", KG, bin=BinFactory(name="Offcuts"))
    close_run(run=run, act=make_act(operator, "swept up"))
    dispose_lot(lot=lot, mass=Mass(KG), act=make_act(operator, "burnt"))
    return lot


def test_forward_every_holder_and_every_way_out_is_a_box(delivered):
    shown = picture_of(delivered, is_forward=True)
    found = names(shown)
    assert "Offcuts" in found
    assert [name for name in found if name.startswith("out: ")] == ["out: disposed", "out: loss"]
    assert sum(name.startswith("part") for name in found) == 2
    assert len(found) == 7


def test_forward_what_left_has_the_mass_that_left(delivered):
    shown = picture_of(delivered, is_forward=True)
    gone = {each.name: each.in_mg for each in shown.boxes if each.first is None}
    assert gone == {"out: disposed": KG, "out: loss": KG}


def test_forward_lines_carry_all_that_was_given(delivered):
    shown = picture_of(delivered, is_forward=True)
    given = sum(line.mass_mg for line in shown.tree.lines if line.source == delivered.pk)
    assert given == 5 * KG


def test_charges_and_parts_of_a_run_are_taken_together(delivered):
    shown = picture_of(delivered, together="run", is_forward=True)
    (run,) = [each for each in shown.boxes if each.group]
    assert (run.name, run.count) == (run.group, 3)
    assert run.name.startswith("run R-")
    opened = picture_of(delivered, together="run", opened=frozenset([run.group]), is_forward=True)
    assert len(opened.boxes) == len(shown.boxes) + 2


def test_a_past_moment_has_its_own_picture(operator):
    now, bin = timezone.now(), BinFactory(name="B-99")
    lot = make_delivery(operator, act=make_act(operator, happened_at=now - timedelta(days=9))).lot
    act = make_act(operator, happened_at=now - timedelta(days=2))
    move_lot(lot=lot, bin=bin, mass=Mass(KG), act=act)
    then = Past(happened_at=now - timedelta(days=5))
    assert names(picture_of(lot, is_forward=True)) == sorted(["B-99", lot.delivery.number])
    assert names(picture_of(lot, is_forward=True, past=then)) == [lot.delivery.number]
    assert names(picture_of(bin.lots.get(), past=then)) == ["B-99"]
