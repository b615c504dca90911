"""Pictures of real lots."""

import pytest

from inventory.queries import family_trees
from inventory.queries.family_trees import Together, picture_of
from inventory.queries.lots import open_lot_in
from tests.factories.inventory import KG, BinFactory, make_delivery, make_full_bin
from tests.factories.workshop import load, make_run, weigh_out

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
