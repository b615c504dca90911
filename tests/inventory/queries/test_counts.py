"""When bins were counted, with which scale, and what they held last."""

from datetime import timedelta

import pytest
from django.utils import timezone

from inventory.actions.lots import write_off_lot
from inventory.actions.postings import reverse_posting
from inventory.models import Bin, Reading
from inventory.queries.counts import (
    QUESTIONS,
    last_contents,
    last_count,
    usual_scale,
    weigh_now,
    with_counted_at,
)
from inventory.queries.lots import open_lot_in
from tests.factories.counts import count
from tests.factories.inventory import BinFactory, ScaleFactory, make_act, make_full_bin

pytestmark = pytest.mark.django_db


def counted_at(bin):
    return with_counted_at(Bin.objects.all()).get(pk=bin.pk).counted_at


def test_a_bin_was_counted_when_it_was_weighed_in_the_workshop(operator):
    bin, then = BinFactory(), timezone.now() - timedelta(days=3)
    count(bin, 0, operator, act=make_act(operator, happened_at=then))
    assert counted_at(bin) == then


def test_a_reversed_count_is_none(operator, lead):
    bin, _lot = make_full_bin(operator)
    done = count(bin, 9_700_000, operator)
    reverse_posting(posting=done.posting, act=make_act(lead, "misread"))
    assert (counted_at(bin), last_count(bin).state) == (None, "reversed")


def test_never_counted_sorts_before_all_others(operator):
    counted, never = BinFactory(name="A"), BinFactory(name="B")
    count(counted, 0, operator)
    assert list(with_counted_at(Bin.objects.all()).order_by("counted_since")) == [never, counted]


def test_the_scale_used_last_is_offered_again(operator):
    first, _second = ScaleFactory(), ScaleFactory()
    assert usual_scale(operator) is None
    count(BinFactory(), 0, operator, reading=Reading(1_000_000, first))
    assert usual_scale(operator) == first


def test_the_only_scale_is_offered(operator):
    scale = ScaleFactory()
    assert usual_scale(operator) == scale


def test_a_filled_bin_has_no_last_contents(operator):
    bin, lot = make_full_bin(operator)
    assert last_contents(bin) is None
    write_off_lot(lot=open_lot_in(bin), act=make_act(operator, "found empty"))
    assert last_contents(bin) == lot


def test_every_surprise_has_its_question(operator):
    bin, _lot = make_full_bin(operator)
    asked = {
        weigh_now(bin, Reading(shown_mg, None, 0)).surprise for shown_mg in range(0, 10**8, 10**6)
    }
    assert asked - {""} <= QUESTIONS.keys()
    assert len(asked) > 3
