"""The envelope of every act: repeats are harmless, false times and long reasons are refused."""

from datetime import timedelta
from uuid import uuid4

import pytest
from django.utils import timezone

from inventory.actions.bins import retire_bin
from inventory.actions.lots import dispose_lot, move_lot
from inventory.models import Posting
from tests.factories.book import refused, written
from tests.factories.inventory import BinFactory, grams, make_act, make_full_bin

pytestmark = pytest.mark.django_db


@pytest.fixture
def lot(operator):
    return make_full_bin(operator)[1]


def test_a_repeat_is_answered_as_the_first_time(lot, operator):
    act, bin = make_act(operator), BinFactory()
    first = move_lot(lot=lot, bin=bin, mass=grams(500), act=act)
    before = written()
    assert move_lot(lot=lot, bin=bin, mass=grams(500), act=act) == first
    assert written() == before


def test_a_repeat_is_answered_although_nothing_is_left_to_move(lot, operator):
    act, bin = make_act(operator), BinFactory()
    first = move_lot(lot=lot, bin=bin, act=act)
    assert move_lot(lot=lot, bin=bin, act=act) == first


def test_refuses_other_content_under_a_used_id(lot, operator):
    act, bin = make_act(operator), BinFactory()
    move_lot(lot=lot, bin=bin, mass=grams(500), act=act)
    with refused("key-reused"):
        move_lot(lot=lot, bin=bin, mass=grams(501), act=act)


def test_refuses_another_act_under_a_used_id(lot, operator):
    act, bin, other = make_act(operator), BinFactory(), BinFactory()
    move_lot(lot=lot, bin=bin, mass=grams(500), act=act)
    with refused("key-reused"):
        retire_bin(bin=other, act=act)


def test_refuses_a_used_id_from_another_person(lot, operator, lead):
    key, bin = uuid4(), BinFactory()
    move_lot(lot=lot, bin=bin, mass=grams(500), act=make_act(operator, key=key))
    with refused("key-reused"):
        move_lot(lot=lot, bin=bin, mass=grams(500), act=make_act(lead, key=key))


def test_refuses_a_time_in_the_future(lot, operator):
    bin, at = BinFactory(), timezone.now() + timedelta(minutes=6)
    with refused("future"):
        move_lot(lot=lot, bin=bin, act=make_act(operator, happened_at=at))


def test_allows_for_a_tablet_whose_clock_is_a_little_fast(lot, operator):
    at = timezone.now() + timedelta(minutes=4)
    assert move_lot(lot=lot, bin=BinFactory(), act=make_act(operator, happened_at=at))


def test_keeps_when_it_happened_apart_from_when_it_was_written(lot, operator):
    at = timezone.now() - timedelta(days=2)
    move_lot(lot=lot, bin=BinFactory(), act=make_act(operator, happened_at=at))
    posting = Posting.objects.first()
    assert posting.happened_at == at
    assert posting.recorded_at - at > timedelta(days=1)


def test_refuses_a_reason_that_the_book_has_no_room_for(lot, operator):
    with refused("reason"):
        dispose_lot(lot=lot, act=make_act(operator, "x" * 301))


def test_refuses_a_reason_of_spaces(lot, operator):
    with refused("reason"):
        dispose_lot(lot=lot, act=make_act(operator, "  "))


def test_a_second_posting_of_an_act_has_the_same_id_whenever_it_is_asked(operator):
    act = make_act(operator)
    assert act.followed_by("into bin") == act.followed_by("into bin")
    assert act.followed_by("into bin").key != act.key
