"""The book as it was known at a moment, and the workshop as it was on a day."""

from datetime import timedelta

import pytest
from django.utils import timezone

from inventory.actions.lots import dispose_lot, move_lot
from inventory.models import Posting
from inventory.queries.lots import open_lot_in
from inventory.queries.pasts import Past, contents_then, lot_then, transfers_then
from inventory.queries.traces import make_up_of, origins_of, uses_of
from tests.factories.inventory import KG, BinFactory, grams, make_act, make_delivery, make_full_bin
from tests.factories.mendings import make_fix, mend
from tests.kept import kept

pytestmark = pytest.mark.django_db

DAY = timedelta(days=1)


@pytest.fixture
@kept
def mended(operator, lead):
    """3 kg were booked into a bin, 2 kg of something else beside it; the 3 were 1 in truth."""
    _bin, lot = make_full_bin(operator)
    bin, other = BinFactory(), make_delivery(operator).lot
    wrong = move_lot(lot=lot, bin=bin, mass=grams(3000), act=make_act(operator))
    move_lot(lot=other, bin=bin, mass=grams(2000), act=make_act(operator))
    known_at = timezone.now()
    mend(lead, make_fix(wrong, 1))
    return lot, bin, Past(known_at=known_at)


def shares(rows):
    return {row.lot.code: round(row.share, 9) for row in rows}


def test_what_was_known_of_the_origins_stays_readable(mended):
    lot, bin, past = mended
    fill = open_lot_in(bin)
    assert shares(origins_of(fill, past=past))[lot.code] == 0.6
    assert shares(origins_of(fill))[lot.code] == round(1 / 3, 9)


def test_a_correction_is_known_as_a_whole_or_not_at_all(mended):
    _lot, bin, before = mended
    written, fill = Posting.objects.latest("pk").recorded_at, open_lot_in(bin)
    just_before = Past(known_at=written - timedelta(microseconds=1))
    assert shares(origins_of(fill, past=just_before)) == shares(origins_of(fill, past=before))
    assert shares(origins_of(fill, past=Past(known_at=written))) == shares(origins_of(fill))


def test_what_was_known_of_the_whereabouts_stays_readable(mended):
    lot, bin, past = mended
    fill = open_lot_in(bin)
    assert {use.pk: use.mass_mg for use in uses_of(lot, past=past)}[fill.pk] == 3 * KG
    assert {use.pk: use.mass_mg for use in uses_of(lot)}[fill.pk] == KG


def test_what_a_bin_was_known_to_hold_stays_readable(mended):
    _lot, bin, past = mended
    assert [lot.held_mg for lot in contents_then(bin, past)] == [5 * KG]
    assert open_lot_in(bin).held_mg == 3 * KG


def test_the_make_up_of_then_sums_to_the_mass_of_then(mended):
    _lot, bin, past = mended
    make_up = make_up_of(open_lot_in(bin), past=past)
    assert sum(segment.mass_mg for segment in make_up.by_origin) == 5 * KG


def test_before_anything_was_recorded_nothing_was_known(mended):
    lot, _bin, past = mended
    before = Past(known_at=past.known_at - DAY)
    assert (origins_of(lot, past=before), uses_of(lot, past=before)) == ([], [])
    assert not transfers_then(before).exists()


def test_a_bin_on_an_earlier_day_holds_what_had_come_by_then(operator):
    now = timezone.now()
    bin, lot = (
        BinFactory(),
        make_delivery(operator, act=make_act(operator, happened_at=now - 9 * DAY)).lot,
    )
    for days, kg in ((5, 3000), (2, 1000)):
        act = make_act(operator, happened_at=now - days * DAY)
        move_lot(lot=lot, bin=bin, mass=grams(kg), act=act)
    on = {days: contents_then(bin, Past(happened_at=now - days * DAY)) for days in (6, 4, 1)}
    assert {days: [lot.held_mg for lot in lots] for days, lots in on.items()} == {
        6: [],
        4: [3 * KG],
        1: [4 * KG],
    }


def test_a_correction_stands_at_the_time_of_what_it_mends(operator, lead):
    """Looked at today, the bin held the right mass on the day itself."""
    now = timezone.now()
    _bin, lot = make_full_bin(operator, act=make_act(operator, happened_at=now - 9 * DAY))
    bin, act = BinFactory(), make_act(operator, happened_at=now - 5 * DAY)
    wrong = move_lot(lot=lot, bin=bin, mass=grams(3000), act=act)
    mend(lead, make_fix(wrong, 2))
    assert [lot.held_mg for lot in contents_then(bin, Past(happened_at=now - 4 * DAY))] == [2 * KG]


def test_what_was_noted_down_late_is_followed_back_nevertheless(operator):
    """The move happened before the delivery by the clock; the walk back does not lose the delivery."""
    now = timezone.now()
    lot = make_delivery(operator).lot
    act = make_act(operator, happened_at=now - 2 * DAY)
    move_lot(lot=lot, bin=(bin := BinFactory()), mass=grams(3000), act=act)
    rows = origins_of(open_lot_in(bin), past=Past(happened_at=now - DAY))
    assert shares(rows) == {lot.code: 1.0}


def test_a_lot_then_is_only_looked_at(mended):
    lot, _bin, past = mended
    assert lot_then(lot, past).out_mg == 3 * KG
    lot.refresh_from_db()
    assert lot.out_mg == KG


def test_both_moments_together_ask_what_was_known_of_a_moment_before(mended):
    """The move was of 3 kg by the book of then, and a minute before it nothing had happened."""
    lot, bin, known = mended
    moved, fill = lot.given.earliest("pk").posting.happened_at, open_lot_in(bin)
    for at, held in ((moved, 3 * KG), (moved - timedelta(minutes=1), None)):
        past = Past(known_at=known.known_at, happened_at=at)
        assert {use.pk: use.mass_mg for use in uses_of(lot, past=past)}.get(fill.pk) == held


def test_where_a_lot_went_is_told_though_clocks_let_it_give_before_it_took(operator):
    """5 kg and 5 kg came in, 8 kg went out; by the clocks of the tablets before the second 5 kg."""
    now, bin = timezone.now(), BinFactory()
    first, second, out, asked = (now - timedelta(minutes=each) for each in (40, 10, 30, 20))
    for at in (first, second):
        lot = make_delivery(operator, act=make_act(operator, happened_at=first)).lot
        act = make_act(operator, happened_at=at)
        move_lot(lot=lot, bin=bin, mass=grams(5000), act=act)
    fill = open_lot_in(bin)
    dispose_lot(lot=fill, mass=grams(8000), act=make_act(operator, "wet", happened_at=out))
    (use,) = uses_of(fill, past=Past(happened_at=asked))
    assert (use.fate, use.share, use.mass_mg) == ("disposed", 1.0, 5 * KG)
