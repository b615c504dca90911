"""What a trace names: nothing but what mass really went through, whatever was written down before."""

from datetime import timedelta

import pytest
from django.utils import timezone

from inventory.actions.lots import dispose_lot, move_lot
from inventory.queries.family_trees import picture_of
from inventory.queries.lots import open_lot_in
from inventory.queries.pasts import NOW, Past, edges_back_then
from inventory.queries.recalls import whereabouts
from inventory.queries.trace_postings import trace_postings
from inventory.queries.traces import lots_behind, uses_of
from tests.factories.inventory import BinFactory, grams, make_act, make_delivery
from tests.factories.mendings import make_fix, mend
from tests.kept import kept

pytestmark = pytest.mark.django_db

LATER = timedelta(hours=1)
MOMENTS = pytest.mark.parametrize("is_past", [False, True], ids=["now", "then"])


@pytest.fixture
@kept
def never(lead):
    """A delivery that never went into a bin as was written, another that did, and what the bin held and gave."""
    lot, other = (make_delivery(lead).lot for _ in range(2))
    bin = BinFactory()
    wrong = move_lot(lot=lot, bin=bin, mass=grams(3000), act=make_act(lead))
    move_lot(lot=other, bin=bin, mass=grams(2000), act=make_act(lead))
    fill = open_lot_in(bin)
    thrown = dispose_lot(lot=fill, mass=grams(1000), act=make_act(lead, "wet"))
    mend(lead, make_fix(wrong, is_out=True))
    fill.refresh_from_db()
    lot.refresh_from_db()
    return lot, other, fill, thrown


def moment(is_past):
    return Past(known_at=timezone.now() + LATER) if is_past else NOW


@MOMENTS
def test_what_never_happened_is_no_step_behind(never, is_past):
    _lot, other, fill, _thrown = never
    past = moment(is_past)
    assert lots_behind(edges_back_then(fill, past)) == [fill.pk, other.pk]
    assert {box.first.pk for box in picture_of(fill, past=past).boxes} == {fill.pk, other.pk}
    came = {fill.taken.latest("pk").posting_id, other.taken.get().posting_id}
    assert set(trace_postings(fill, is_forward=False, past=past)) == came


@MOMENTS
def test_what_never_happened_leads_nowhere(never, is_past):
    lot, other, fill, thrown = never
    past = moment(is_past)
    assert [use.pk for use in uses_of(lot, past=past)] == [lot.pk]
    assert [box.first.pk for box in picture_of(lot, past=past, is_forward=True).boxes] == [lot.pk]
    assert trace_postings(lot, is_forward=True, past=past) == []
    assert thrown.pk in trace_postings(other, is_forward=True, past=past)


def test_a_recall_says_of_nothing_that_it_left_that_never_came(never):
    assert whereabouts([never[0]]).gone == []
