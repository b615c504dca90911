"""Counting a bin: the book follows the scale, knowingly, once, and never to a better recycled share."""

import pytest
from django.utils import timezone

from inventory.actions.lots import hold_lot, move_lot, write_off_lot
from inventory.actions.postings import reverse_posting
from inventory.models import Change, Count, Hold, Lot, Posting, Reading, Transfer
from inventory.queries.lots import book_mass, open_lot_in
from inventory.queries.make_ups import shares_of_lots
from inventory.queries.verification import first_fault
from tests.factories.book import refused, sentence, written
from tests.factories.counts import count, make_round, seen
from tests.factories.inventory import (
    KG,
    BinFactory,
    ScaleFactory,
    grams,
    make_act,
    make_delivery,
    make_full_bin,
)

pytestmark = pytest.mark.django_db


@pytest.fixture
def bin(operator):
    """A bin of 1 kg tare with 10 kg of blue PE-HD flake, typed."""
    return make_full_bin(operator)[0]


@pytest.fixture
def scale(db):
    """U of gross less tare is 8.165 g."""
    return ScaleFactory(resolution_mg=10_000)


def held(bin):
    fill = open_lot_in(bin)
    return fill.held_mg if fill else 0


# Less, more, and alike


def test_less_than_the_book_leaves_it_as_count_difference(bin, operator):
    done = count(bin, 9_700_000, operator)
    line = done.posting.transfers.get()
    assert (line.mass_mg, line.role, line.target) == (300_000, "count", None)
    assert (done.posting.kind, done.posting.reference, held(bin)) == ("count", bin.name, 9_700_000)


def test_more_than_the_book_comes_from_a_gain_of_unknown_origin(bin, operator):
    done = count(bin, 10_500_000, operator)
    gain = Lot.objects.get(kind="gain")
    assert (gain.origin_class, gain.in_mg, gain.out_mg) == ("unknown", 500_000, 500_000)
    assert (held(bin), done.difference_mg) == (10_500_000, 500_000)


def test_a_gain_never_raises_a_recycled_share(bin, operator):
    count(bin, 12_500_000, operator)
    fill = open_lot_in(bin)
    assert shares_of_lots([fill])[fill.pk].by_origin == {"post-consumer": 0.8, "unknown": 0.2}


def test_more_in_a_delivery_makes_a_new_fill_of_both(bin, operator):
    delivered = open_lot_in(bin)
    done = count(bin, 10_500_000, operator)
    lines = done.posting.transfers.order_by("role", "pk")
    assert [(line.role, line.mass_mg) for line in lines] == [
        ("count", 500_000),
        ("count", 500_000),
        ("remainder", 10 * KG),
    ]
    assert open_lot_in(bin).kind == "fill"
    assert done.lot == delivered


def test_more_in_a_fill_that_has_not_given_goes_into_it(bin, operator):
    target = BinFactory()
    move_lot(lot=open_lot_in(bin), bin=target, mass=grams(4000), act=make_act(operator))
    fill = open_lot_in(target)
    count(target, 4_200_000, operator)
    assert (open_lot_in(target), held(target)) == (fill, 4_200_000)


def test_more_in_a_fill_that_has_given_makes_a_new_one(bin, operator):
    count(bin, 10_500_000, operator)
    fill = open_lot_in(bin)
    move_lot(lot=fill, bin=BinFactory(), mass=grams(1000), act=make_act(operator))
    count(bin, 10_000_000, operator)
    assert (open_lot_in(bin) == fill, held(bin)) == (False, 10 * KG)


def test_what_the_scales_explain_agrees_and_leaves_the_book(bin, operator, scale):
    reading = Reading(11_008_000, scale)
    done = count(bin, 0, operator, "", reading=reading)
    assert (done.posting, done.net_mg, done.state) == (None, 10_008_000, "agreed")
    assert (held(bin), Posting.objects.filter(kind="count").count()) == (10 * KG, 0)


def test_a_milligram_beyond_the_tolerance_is_booked(bin, operator, scale):
    tolerance_mg = 8_164
    done = count(bin, 0, operator, reading=Reading(11 * KG + tolerance_mg + 1, scale))
    lines = done.posting.transfers.filter(role="count")
    assert {line.mass_mg for line in lines} == {done.difference_mg} == {tolerance_mg + 1}


def test_what_agrees_is_written_down_as_a_change(bin, operator):
    done = count(bin, 10 * KG, operator, "")
    change = Change.objects.get(verb="count")
    assert (change.uuid, change.row, change.subject) == (done.uuid, done.pk, bin.code)


def test_a_bin_seen_empty_is_booked_out_even_within_the_tolerance(operator, scale):
    bin = make_full_bin(operator, net_mg=4_000)[0]
    done = count(bin, 0, operator, reading=Reading(KG, scale))
    assert (done.posting.kind, open_lot_in(bin)) == ("count", None)


def test_a_count_keeps_scale_book_and_both_uncertainties(operator, scale):
    bin = make_full_bin(operator, net_mg=10 * KG, gross_mg=11 * KG, tare_mg=KG, scale=scale)[0]
    done = count(bin, 0, operator, reading=Reading(10_800_000, scale))
    assert (done.shown_mg, done.tare_mg, done.net_mg, done.book_mg) == (
        10_800_000,
        KG,
        9_800_000,
        10 * KG,
    )
    # GUM: u of gross less tare at a step of 10 g is sqrt(2) 10 g / (2 sqrt 3) = 4.0825 g
    assert (done.uncertainty_ug, done.book_uncertainty_ug) == (4_082_483, 4_082_483)
    assert done.expanded_mg == pytest.approx(2 * 2**0.5 * 4082.483)


def test_after_a_count_the_book_is_known_as_well_as_the_scale(bin, operator, scale):
    move_lot(lot=open_lot_in(bin), bin=BinFactory(), mass=grams(1), act=make_act(operator))
    count(bin, 0, operator, reading=Reading(10_800_000, scale))
    assert book_mass(open_lot_in(bin)).uncertainty_ug == 4_082_483


def test_a_gain_is_known_as_well_as_the_scale(bin, operator, scale):
    count(bin, 0, operator, reading=Reading(11_800_000, scale))
    assert book_mass(open_lot_in(bin)).uncertainty_ug == 4_082_483


# An empty bin


def test_an_empty_bin_that_shows_nothing_agrees(operator):
    assert count(BinFactory(), 0, operator, "").lot is None


def test_mass_in_a_bin_that_is_empty_by_the_book_is_refused(operator):
    bin = BinFactory()
    with refused("nothing-booked"):
        count(bin, KG, operator, accepted=seen(bin, is_last=True))


def test_mass_in_an_emptied_bin_is_refused_unless_it_is_what_it_held(bin, operator):
    write_off_lot(lot=open_lot_in(bin), act=make_act(operator, "found empty"))
    with refused("nothing-booked"):
        count(bin, KG, operator)


def test_what_an_emptied_bin_held_last_comes_back_with_unknown_origin(bin, operator):
    last = open_lot_in(bin)
    write_off_lot(lot=last, act=make_act(operator, "found empty"))
    count(bin, KG, operator, accepted=seen(bin, is_last=True))
    fill = open_lot_in(bin)
    assert (fill.held_mg, fill.material) == (KG, last.material)
    assert shares_of_lots([fill])[fill.pk].by_origin == {"unknown": 1.0}


def test_unknown_material_found_again_is_on_hold(operator, lead):
    bin, lot = make_full_bin(operator, polymer=None, identified_by="unknown")
    lot.holds.all().update(lifted_at=timezone.now(), lifted_by=lead, lift_reason="looked at")
    write_off_lot(lot=lot, act=make_act(operator, "found empty"))
    count(bin, KG, operator, accepted=seen(bin, is_last=True))
    assert Hold.objects.open().get().lot == open_lot_in(bin)


def test_an_empty_bin_may_read_a_step_below_its_tare(operator, scale):
    done = count(BinFactory(), 0, operator, reading=Reading(KG - 10_000, scale))
    assert (done.net_mg, done.shown_mg) == (0, 990_000)


# What is refused


def test_a_reading_below_the_tare_is_refused(bin, operator, scale):
    with refused("below-tare"):
        count(bin, 0, operator, reading=Reading(KG - 10_001, scale))


def test_a_retired_bin_is_refused(operator):
    bin = BinFactory(retired_at=timezone.now())
    with refused("retired"):
        count(bin, 0, operator)


@pytest.mark.parametrize("stale", [{"book_mg": 9 * KG}, {"lot": "0" * 12}, {"lot": ""}])
def test_a_book_that_changed_meanwhile_is_refused(bin, operator, stale):
    with refused("book-changed"):
        count(bin, 9 * KG, operator, accepted=seen(bin, **stale))


def test_the_refusal_of_a_changed_book_names_the_new_figure(bin, operator):
    before = seen(bin)
    move_lot(lot=open_lot_in(bin), bin=BinFactory(), mass=grams(2500), act=make_act(operator))
    with refused("book-changed") as refusal:
        count(bin, 10 * KG, operator, accepted=before)
    assert "7.500 kg" in sentence(refusal)


def test_a_surprising_reading_is_asked_back(bin, operator):
    with refused("surprising") as refusal:
        count(bin, 9 * KG, operator, accepted=seen(bin, is_confirmed=False))
    assert "tare" in sentence(refusal)


def test_a_surprising_reading_is_booked_once_confirmed(bin, operator):
    count(bin, 9 * KG, operator)
    assert held(bin) == 9 * KG


def test_a_correction_needs_a_reason(bin, operator):
    with refused("reason"):
        count(bin, 9_700_000, operator, "")


def test_less_of_what_is_on_hold_may_be_booked_out(bin, operator):
    hold_lot(lot=open_lot_in(bin), act=make_act(operator, "smells"))
    count(bin, 9_700_000, operator)
    assert (held(bin), open_lot_in(bin).holds.open().count()) == (9_700_000, 1)


def test_more_of_what_is_on_hold_is_refused(bin, operator):
    hold_lot(lot=open_lot_in(bin), act=make_act(operator, "smells"))
    with refused("on-hold"):
        count(bin, 10_500_000, operator)


def test_more_than_a_bin_may_hold_is_booked_once_confirmed(bin, operator):
    count(bin, 60 * KG, operator)
    assert held(bin) == 60 * KG


# In a round


def test_a_count_belongs_to_its_stop(bin, operator):
    stop = make_round(operator).stops.get()
    assert count(bin, 10 * KG, operator, stop=stop).stop == stop


def test_a_stop_of_another_bin_is_refused(bin, operator):
    stop, other = make_round(operator).stops.get(), BinFactory()
    with refused("not-on-route"):
        count(other, 0, operator, stop=stop)


def test_a_finished_round_takes_no_count(bin, operator):
    walk = make_round(operator)
    walk.finished_at, walk.finished_by = timezone.now(), operator
    walk.save()
    with refused("round-finished"):
        count(bin, 10 * KG, operator, stop=walk.stops.get())


# Once, and undone


@pytest.mark.parametrize("net_mg", [9_700_000, 10 * KG])
def test_a_repeat_changes_nothing(bin, operator, net_mg):
    act, accepted = make_act(operator, "spilt"), seen(bin)
    done = count(bin, net_mg, operator, act=act, accepted=accepted)
    before = written()
    assert count(bin, net_mg, operator, act=act, accepted=accepted) == done
    assert written() == before


def test_the_same_id_with_another_mass_is_refused(bin, operator):
    act, accepted = make_act(operator, "spilt"), seen(bin)
    count(bin, 9_700_000, operator, act=act, accepted=accepted)
    with refused("key-reused"):
        count(bin, 9_600_000, operator, act=act, accepted=accepted)


@pytest.mark.parametrize("net_mg", [9_700_000, 10_500_000])
def test_a_reversed_count_says_so_and_the_book_is_as_before(bin, operator, lead, net_mg):
    delivered = open_lot_in(bin)
    done = count(bin, net_mg, operator)
    reverse_posting(posting=done.posting, act=make_act(lead, "misread"))
    again = Count.objects.get()
    assert (again.state, open_lot_in(bin), held(bin)) == ("reversed", delivered, 10 * KG)
    assert first_fault() is None


def test_counts_of_every_kind_verify(bin, operator, lead, scale):
    for net_mg in (9_700_000, 10_200_000, 10_200_000, 0):
        count(bin, net_mg, operator)
    make_delivery(operator, bin=bin)
    count(bin, 0, operator, reading=Reading(11_004_000, scale))
    assert first_fault() is None
    assert Transfer.objects.filter(role="count", target=None).count() == 2
