"""A past transfer is mended through lots that have already given."""

import pytest

from inventory.actions.bins import retire_bin
from inventory.actions.counts import Accepted, count_bin
from inventory.actions.lots import dispose_lot, hold_lot, identify_lot, lift_hold, move_lot
from inventory.models import Count, Lot, Posting, Reading, Transfer
from inventory.queries.corrections import movement_of
from inventory.queries.lots import open_lot_in
from inventory.queries.traces import origins_of
from inventory.queries.verification import first_fault
from tests.factories.book import refused, sentence, written
from tests.factories.inventory import (
    KG,
    BinFactory,
    colour,
    grams,
    make_act,
    make_delivery,
    make_full_bin,
    polymer,
)
from tests.factories.mendings import make_fix, mend, token_for

pytestmark = pytest.mark.django_db


@pytest.fixture
def lot(operator):
    return make_full_bin(operator)[1]


def move(lot, bin, by, kg):
    return move_lot(lot=lot, bin=bin, mass=grams(round(kg * 1000)), act=make_act(by))


def move_on(bin, by, kg):
    """Move some of what stands in a bin now into a fresh one."""
    return move(open_lot_in(bin), BinFactory(), by, kg)


def held(bin):
    lot = open_lot_in(bin)
    return lot.held_mg / KG if lot else 0


def shares(lot):
    return {row.lot.code: round(row.share, 9) for row in origins_of(lot)}


def test_the_mass_of_a_move_is_mended_on_both_sides(lot, operator, lead):
    bin = BinFactory()
    posting = move(lot, bin, operator, 3)
    head = mend(lead, make_fix(posting, 2.5))
    assert (held(lot.bin), held(bin)) == (7.5, 2.5)
    assert (head.kind, head.replaces, head.happened_at) == ("correct", posting, posting.happened_at)
    assert Posting.objects.get(reverses=posting).reason == "written down wrong"
    assert first_fault() is None


def test_it_reaches_through_toppings_up_that_came_later(lot, operator, lead):
    """What was left in the bin at each topping up follows; what was moved stays."""
    bin = BinFactory()
    posting = move(lot, bin, operator, 3)
    for _time in range(2):
        move_on(bin, operator, 1)
        move(lot, bin, operator, 2)
    mend(lead, make_fix(posting, 2.5))
    assert (held(lot.bin), held(bin)) == (3.5, 4.5)
    assert first_fault() is None


def test_what_replaces_a_posting_keeps_its_place_when_it_is_mended_again(lot, operator, lead):
    bin = BinFactory()
    posting = move(lot, bin, operator, 3)
    move_on(bin, operator, 1)
    second = mend(lead, make_fix(mend(lead, make_fix(posting, 2.5)), 2))
    assert (second.replaces, held(bin), held(lot.bin)) == (posting, 1, 8)
    assert first_fault() is None


def test_a_move_led_into_another_bin_meets_what_stood_there_then(lot, operator, lead):
    wrong, right = BinFactory(), BinFactory()
    other = make_delivery(operator, bin=right).lot
    move_on(right, operator, 1)
    posting = move(lot, wrong, operator, 3)
    taken = move_on(right, operator, 2).transfers.get().target
    head = mend(lead, make_fix(posting, target=right))
    assert (held(wrong), held(right)) == (0, 10)
    assert shares(taken) == {other.code: 0.75, lot.code: 0.25}
    assert head.reference == f"{lot.bin} > {right}"
    assert first_fault() is None


def test_what_left_a_bin_before_knows_nothing_of_what_is_led_there(lot, operator, lead):
    """A later delivery never appears in an earlier lot."""
    right = BinFactory()
    other = make_delivery(operator, bin=right).lot
    early = move_on(right, operator, 1).transfers.get().target
    posting = move(lot, BinFactory(), operator, 3)
    mend(lead, make_fix(posting, target=right))
    assert shares(early) == {other.code: 1.0}


def test_a_move_that_came_from_another_bin_takes_what_stood_there_then(lot, operator, lead):
    right = make_full_bin(operator)[1]
    posting = move(lot, BinFactory(), operator, 3)
    fill = posting.transfers.get().target
    move_on(fill.bin, operator, 1)
    mend(lead, make_fix(posting, source=right.bin))
    assert (held(lot.bin), held(right.bin)) == (10, 7)
    assert shares(fill) == {right.code: 1.0}


def test_a_move_that_never_happened_is_taken_out(lot, operator, lead):
    bin = BinFactory()
    posting = move(lot, bin, operator, 3)
    head = mend(lead, make_fix(posting, is_out=True))
    assert (held(lot.bin), held(bin), head.reverses) == (10, 0, posting)


def test_the_mass_of_a_delivery_is_mended_and_its_record_stays(lot, operator, lead):
    move_on(lot.bin, operator, 3)
    mend(lead, make_fix(lot.taken.get().posting, 9))
    lot.refresh_from_db()
    assert (lot.held_mg, lot.delivery.net_mg) == (6 * KG, 10 * KG)
    assert first_fault() is None


def test_several_postings_are_mended_in_one_act(operator, lead):
    """What went from the floor into a full bin must be mended with the delivery."""
    bin, _lot = make_full_bin(operator)
    came = make_delivery(operator, bin=bin).lot
    came_in, put_in = (came.taken.get().posting, came.given.get().posting)
    mend(lead, make_fix(came_in, 9), make_fix(put_in, 9))
    assert held(bin) == 19
    assert Posting.objects.filter(kind="correct").count() == 2


def test_remembered_shares_are_forgotten_by_all_that_consist_of_it(lot, operator, lead):
    bin = BinFactory()
    posting = move(lot, bin, operator, 3)
    move(make_delivery(operator).lot, bin, operator, 3)
    far = move_on(move_on(bin, operator, 2).transfers.get().target.bin, operator, 1)
    before = far.transfers.get().target
    head = mend(lead, make_fix(posting, 1))
    assert Lot.objects.get(pk=before.pk).filled_by == head


def test_a_repeat_is_answered_as_the_first_time(lot, operator, lead):
    fix, act = make_fix(move(lot, BinFactory(), operator, 3), 2), make_act(lead, "typed wrong")
    shown = token_for(fix)
    first = mend(lead, fix, act=act, shown=shown)
    before = written()
    assert (mend(lead, fix, act=act, shown=shown), written()) == (first, before)


def test_an_id_used_for_something_else_is_refused(lot, operator, lead):
    posting, act = move(lot, BinFactory(), operator, 3), make_act(lead, "typed wrong")
    mend(lead, make_fix(posting, 2), act=act)
    with refused("key-reused"):
        mend(lead, make_fix(posting, 1), act=act)


def test_refuses_without_a_reason(lot, operator, lead):
    fix = make_fix(move(lot, BinFactory(), operator, 3), 2)
    with refused("reason"):
        mend(lead, fix, act=make_act(lead))


def test_refuses_when_the_book_moved_since_the_effect_was_shown(lot, operator, lead):
    bin = BinFactory()
    fix = make_fix(move(lot, bin, operator, 3), 2)
    shown = token_for(fix)
    move_on(bin, operator, 1)
    with refused("book-moved"):
        mend(lead, fix, shown=shown)


def test_what_moved_elsewhere_meanwhile_does_not_matter(lot, operator, lead):
    fix = make_fix(move(lot, BinFactory(), operator, 3), 2)
    shown = token_for(fix)
    make_full_bin(operator)
    assert mend(lead, fix, shown=shown).kind == "correct"


def test_names_the_bin_that_would_break_by_how_much_and_at_which_posting(lot, operator, lead):
    bin = BinFactory()
    posting = move(lot, bin, operator, 3)
    move_on(bin, operator, 1)
    later = move_on(bin, operator, 1.5)
    with refused("short") as refusal:
        mend(lead, make_fix(posting, 2))
    said = sentence(refusal)
    assert (bin.name in said, "500 g" in said, later.number in said) == (True, True, True)


def test_a_lot_on_the_floor_gives_no_more_than_it_took(operator, lead):
    came = make_delivery(operator).lot
    posting = move(came, BinFactory(), operator, 3)
    with refused("short") as refusal:
        mend(lead, make_fix(came.taken.get().posting, 2))
    assert posting.number in sentence(refusal)


def test_names_what_came_into_a_bin_that_would_not_have_been_empty(lot, operator, lead):
    """3.5 kg in and 3 kg out leave 0.5 kg that a delivery, which is its own lot, cannot take in."""
    bin = BinFactory()
    posting = move(lot, bin, operator, 3)
    emptied = move_on(bin, operator, 3)
    came = make_delivery(operator, bin=bin).lot
    with refused("crowded") as refusal:
        mend(lead, make_fix(posting, 3.5))
    assert came.delivery.number in sentence(refusal)
    assert f"correct {emptied.number} too" in sentence(refusal)
    mend(lead, make_fix(posting, 3.5), make_fix(emptied, 3.5))
    assert first_fault() is None


def test_refuses_what_only_follows(operator, lead):
    bin, lot = make_full_bin(operator)
    posting = move(lot, BinFactory(), operator, 3)
    mirror = mend(lead, make_fix(posting, is_out=True))
    with refused("gone"):
        mend(lead, make_fix(posting, 2))
    with refused("gone"):
        mend(lead, make_fix(mirror, 2))


def test_refuses_a_correction_that_changes_nothing(lot, operator, lead):
    posting = move(lot, BinFactory(), operator, 3)
    with refused("nothing-changed"):
        mend(lead, make_fix(posting))
    with refused("nothing-changed"):
        mend(lead, make_fix(posting, 3))


def test_refuses_to_mend_one_posting_twice_at_once(lot, operator, lead):
    posting = move(lot, BinFactory(), operator, 3)
    with refused("twice"):
        mend(lead, make_fix(posting, 2), make_fix(posting, 1))


def test_refuses_a_mass_of_nothing(lot, operator, lead):
    fix = make_fix(move(lot, BinFactory(), operator, 3), 0)
    with refused("mass"):
        mend(lead, fix)


def test_a_held_lot_is_not_touched(lot, operator, lead):
    posting = move(lot, BinFactory(), operator, 3)
    hold_lot(lot=posting.transfers.get().target, act=make_act(lead, "smells"))
    with refused("on-hold"):
        mend(lead, make_fix(posting, 2))


def test_refuses_to_put_something_into_a_bin_that_is_retired(lot, operator, lead):
    bin = BinFactory()
    posting = move(lot, bin, operator, 3)
    move_on(bin, operator, 3)
    retire_bin(bin=bin, act=make_act(lead))
    with refused("retired"):
        mend(lead, make_fix(posting, 3.5))


def test_refuses_more_than_the_bin_had_room_for(lot, operator, lead):
    posting = move(lot, BinFactory(capacity_mg=4 * KG), operator, 3)
    with refused("overfull"):
        mend(lead, make_fix(posting, 5))


def test_refuses_a_bin_of_another_polymer(lot, operator, lead):
    posting, pp = move(lot, BinFactory(), operator, 3), BinFactory(polymer=polymer("PP"))
    with refused("polymer-mismatch"):
        mend(lead, make_fix(posting, target=pp))


def test_refuses_another_colour_where_no_colours_are_mixed(lot, operator, lead):
    red = make_full_bin(operator, colour="red")[0]
    fix = make_fix(move(lot, BinFactory(), operator, 3), target=red)
    with refused("colour-mismatch"):
        mend(lead, fix)


def test_polymers_do_not_meet_further_on(lot, operator, lead):
    """The move came from PP in truth; what it reached holds PE-HD from elsewhere too."""
    pp, on = make_full_bin(operator, polymer="PP")[0], BinFactory()
    posting = move(lot, BinFactory(), operator, 3)
    fill = posting.transfers.get().target
    move(lot, on, operator, 1)
    moved = move(fill, on, operator, 1)
    with refused("polymer-mismatch") as refusal:
        mend(lead, make_fix(posting, source=pp))
    assert moved.number in sentence(refusal)


def test_what_follows_is_called_what_it_is_made_of_in_truth(lot, operator, lead):
    red = make_full_bin(operator, colour="red", polymer="PP")[0]
    posting = move(lot, BinFactory(), operator, 3)
    bin = posting.transfers.get().target.bin
    far = move_on(bin, operator, 1).transfers.get().target
    mend(lead, make_fix(posting, source=red))
    far.refresh_from_db()
    assert (far.polymer, far.colour, held(bin)) == (polymer("PP"), colour("red"), 2)


def test_unknown_material_is_not_mixed_further_on(lot, operator, lead):
    unknown, on = make_full_bin(operator, polymer=None, identified_by="unknown")[1], BinFactory()
    lift_hold(hold=unknown.holds.get(), act=make_act(lead, "seen"))
    posting = move(lot, BinFactory(), operator, 3)
    move(lot, on, operator, 1)
    move(posting.transfers.get().target, on, operator, 1)
    with refused("unknown-material"):
        mend(lead, make_fix(posting, source=unknown.bin))


def test_what_was_identified_by_hand_stays_identified(operator, lead):
    unknown = make_full_bin(operator, polymer=None, identified_by="unknown")[1]
    lift_hold(hold=unknown.holds.get(), act=make_act(lead, "seen"))
    fill = move(unknown, BinFactory(), operator, 3).transfers.get().target
    found = {"polymer": polymer("PE-HD"), "identified_by": "test"}
    identify_lot(lot=fill, act=make_act(lead, "melted a flake"), **found)
    mend(lead, make_fix(fill.filled_by, 2))
    fill.refresh_from_db()
    assert fill.polymer == polymer("PE-HD")


def test_refuses_a_source_for_what_came_from_outside(lot, operator, lead):
    fix = make_fix(lot.taken.get().posting, source=BinFactory())
    with refused("wrong-place"):
        mend(lead, fix)


def test_refuses_a_move_into_the_bin_it_came_from(lot, operator, lead):
    posting = move(lot, BinFactory(), operator, 3)
    with refused("same-bin"):
        mend(lead, make_fix(posting, target=lot.bin))
    with refused("same-bin"):
        mend(lead, make_fix(posting, source=posting.transfers.get().target.bin))


def test_what_a_count_found_came_from_nowhere_else(operator, lead):
    bin, _lot = make_full_bin(operator)
    other = make_full_bin(operator)[0]
    found = count(bin, 11, operator)
    with refused("wrong-place"):
        mend(lead, make_fix(found, source=other))
    mend(lead, make_fix(found, 0.5))
    assert (held(bin), first_fault()) == (10.5, None)


def count(bin, kg, by):
    """Count a bin on no scale: the book follows."""
    fill = open_lot_in(bin)
    reading, seen = (
        Reading(round(kg * KG), None, 0),
        Accepted(fill.code, fill.held_mg, is_confirmed=True),
    )
    return count_bin(bin=bin, reading=reading, accepted=seen, act=make_act(by, "counted")).posting


def test_a_count_that_was_corrected_still_stands(operator, lead):
    bin, lot = make_full_bin(operator)
    posting = move(lot, BinFactory(), operator, 3)
    count(bin, 6, operator)
    mend(lead, make_fix(posting, 2))
    assert (Count.objects.standing().count(), held(bin), first_fault()) == (1, 7, None)


def test_a_disposal_is_led_to_the_bin_it_was_taken_from(lot, operator, lead):
    right = make_full_bin(operator)[0]
    posting = dispose_lot(lot=lot, mass=grams(500), act=make_act(operator, "wet"))
    head = mend(lead, make_fix(posting, source=right))
    assert (held(lot.bin), held(right), head.reference) == (10, 9.5, right.name)


def test_a_lot_does_not_give_before_it_was_there(lot, operator, lead):
    posting = move(lot, BinFactory(), operator, 3)
    later = make_delivery(operator).lot
    with refused("sealed"):
        mend(lead, make_fix(posting, source=later))


def test_tells_what_a_posting_moved(lot, operator):
    bin = BinFactory()
    move(lot, bin, operator, 3)
    move_on(bin, operator, 1)
    movement = movement_of(move(lot, bin, operator, 2))
    assert (movement.mass_mg, movement.source, movement.target.bin) == (2 * KG, lot, bin)
    assert Transfer.objects.filter(posting=movement.posting).count() == 2
