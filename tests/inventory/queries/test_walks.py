"""Walks from several lots at once, as the book knew it: the same as those from one lot, united."""

from datetime import timedelta

import pytest
from django.utils import timezone

from inventory.actions.lots import move_lot
from inventory.actions.postings import reverse_posting
from inventory.models import Posting
from inventory.queries.closures import ancestor_edges, descendant_edges
from inventory.queries.lots import open_lot_in
from inventory.queries.walks import (
    TooLong,
    edges_ahead,
    edges_behind,
    lots_of,
    postings_touching,
    standing_into,
)
from tests.factories.inventory import BinFactory, grams, make_act, make_delivery, make_full_bin

pytestmark = pytest.mark.django_db

MOST = 100


@pytest.fixture
def fills(operator):
    """Two bins: one filled from two deliveries, one from the second of them."""
    bin, _first = make_full_bin(operator)
    second, other = make_delivery(operator).lot, BinFactory()
    move_lot(lot=second, bin=bin, mass=grams(3000), act=make_act(operator))
    move_lot(lot=second, bin=other, mass=grams(4000), act=make_act(operator))
    return open_lot_in(bin), open_lot_in(other), second


def ends(edges):
    return {edge[:3] for edge in edges}


def now():
    return {"known_at": timezone.now(), "most": MOST}


def test_a_walk_back_from_two_lots_is_both_walks_together(fills):
    one, two, _second = fills
    both = ends(ancestor_edges(one)) | ends(ancestor_edges(two))
    found = edges_behind([one.pk, two.pk], **now())
    assert ends(found) == both
    assert len(found) == len(both)


def test_a_walk_ahead_is_that_of_each_lot(fills):
    one, two, second = fills
    assert ends(edges_ahead([second.pk], **now())) == ends(descendant_edges(second)[0])
    assert edges_ahead([one.pk, two.pk], **now()) == []


def test_nothing_is_walked_from_nowhere(fills):
    assert edges_behind([], **now()) == []


def test_what_was_not_known_yet_is_not_walked(fills):
    one, *_rest = fills
    early = timezone.now() - timedelta(days=1)
    assert edges_behind([one.pk], known_at=early, most=MOST) == []


def test_a_walk_that_is_too_long_is_given_up(fills):
    one, *_rest = fills
    whole = edges_behind([one.pk], **now())
    with pytest.raises(TooLong):
        edges_behind([one.pk], known_at=timezone.now(), most=len(whole) - 1)
    assert edges_behind([one.pk], known_at=timezone.now(), most=len(whole)) == whole


def test_postings_that_touch_a_lot_are_named_with_what_was_undone(fills, operator, lead):
    _one, _two, second = fills
    bin = BinFactory()
    wrong = move_lot(lot=second, bin=bin, mass=grams(1000), act=make_act(operator))
    (fill,) = bin.lots.all()
    undone = reverse_posting(posting=wrong, act=make_act(lead, "wrong bin"))
    touched = postings_touching([fill.pk], known_at=timezone.now())
    assert touched == {wrong.pk, undone.pk}
    assert edges_behind([fill.pk], **now()) == []
    assert postings_touching([fill.pk], known_at=wrong.recorded_at) == {wrong.pk}


def test_both_ends_of_a_lot_are_touched(fills):
    one, _two, second = fills
    both = postings_touching([second.pk], known_at=timezone.now(), ends=("source", "target"))
    assert both == {
        *Posting.objects.filter(transfers__source=second).values_list("pk", flat=True),
        *Posting.objects.filter(transfers__target=second).values_list("pk", flat=True),
    }
    assert lots_of(edges_behind([one.pk], **now())) >= {one.pk, second.pk}


def test_what_stands_into_a_lot_is_in_the_order_of_the_book(fills):
    one, *_rest = fills
    rows = list(standing_into([one.pk], known_at=timezone.now()))
    assert sum(row.mass_mg for row in rows) == one.in_mg
    assert rows == sorted(rows, key=lambda row: row.pk)
