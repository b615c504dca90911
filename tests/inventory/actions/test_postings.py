"""The one function that posts, and its undoing."""

from uuid import UUID

import pytest
from django.db import transaction

from inventory.actions.bins import retire_bin
from inventory.actions.lots import (
    dispose_lot,
    hold_lot,
    identify_lot,
    lift_hold,
    move_lot,
    write_off_lot,
)
from inventory.actions.postings import Line, post, reverse_posting
from inventory.actions.scales import save_scale
from inventory.models import Lot, Mass, Posting, Transfer
from inventory.queries.lots import open_lot_in
from inventory.queries.traces import origins_of
from inventory.queries.verification import wrong_digests
from tests.factories.book import refused, sentence, written
from tests.factories.inventory import (
    KG,
    BinFactory,
    ScaleFactory,
    colour,
    grams,
    make_act,
    make_delivery,
    make_full_bin,
    polymer,
)

pytestmark = pytest.mark.django_db


@pytest.fixture
def lot(operator):
    return make_full_bin(operator)[1]


def undo(posting, by, reason="entered twice"):
    return reverse_posting(posting=posting, act=make_act(by, reason))


def contents(bin):
    """Code, mass and material of what a bin holds."""
    fill = open_lot_in(bin)
    return fill and (fill.code, fill.held_mg, fill.material)


def give_and_take(lot, target, by, mass_mg):
    act = make_act(by)
    line = Line(lot, target, Mass(mass_mg), Transfer.Role.MOVED)
    with transaction.atomic():
        return post(act=act, kind="move", lines=[line], request=act.request("test"))


def new_lot(lot) -> Lot:
    fields = {"polymer": lot.polymer, "colour": lot.colour, "form": lot.form}
    return Lot(kind="fill", opened_at=lot.opened_at, **fields)


def test_moves_both_counters_and_writes_who_and_when(lot, operator):
    target = new_lot(lot)
    posting = give_and_take(lot, target, operator, 3 * KG)
    lot.refresh_from_db()
    assert (lot.in_mg, lot.out_mg, target.in_mg, target.out_mg) == (10 * KG, 3 * KG, 3 * KG, 0)
    assert (posting.by, posting.kind, target.filled_by) == (operator, "move", posting)


def test_refuses_to_give_more_than_there_is_and_says_how_much_there_is(lot, operator):
    with refused("short") as refusal:
        give_and_take(lot, new_lot(lot), operator, 10 * KG + 1)
    assert "10.000 kg" in sentence(refusal)


def test_refuses_to_fill_a_lot_that_has_given(lot, operator):
    give_and_take(lot, new_lot(lot), operator, KG)
    other = make_delivery(operator).lot
    with refused("sealed"):
        give_and_take(other, lot, operator, KG)


def test_refuses_a_posting_that_moves_nothing(lot, operator):
    act = make_act(operator)
    with refused("mass"):
        post(act=act, kind="move", lines=[], request=act.request("test"))


def test_the_digest_stays_true_when_a_scale_or_a_person_is_renamed(operator, lead):
    scale = ScaleFactory()
    make_delivery(operator, gross_mg=11 * KG, tare_mg=KG, scale=scale)
    fields = {"name": "Renamed", "capacity_mg": 60 * KG, "resolution_mg": 5_000}
    save_scale(fields=fields, scale=scale, act=make_act(lead))
    operator.username = "married-name"
    operator.save()
    assert list(wrong_digests()) == []


def test_undoing_a_move_gives_back_what_was_there(lot, operator, lead):
    bin, before = BinFactory(), contents(lot.bin)
    posting = move_lot(lot=lot, bin=bin, mass=grams(3000), act=make_act(operator))
    mirror = undo(posting, lead)
    assert (contents(lot.bin), contents(bin)) == (before, None)
    assert (mirror.reverses, mirror.reason, mirror.by) == (posting, "entered twice", lead)


def test_the_undoing_mirrors_every_transfer(lot, operator, lead):
    posting = move_lot(lot=lot, bin=BinFactory(), mass=grams(3000), act=make_act(operator))
    original, back = posting.transfers.get(), undo(posting, lead).transfers.get()
    assert (back.source, back.target) == (original.target, original.source)
    assert (back.mass_mg, back.role, back.reverses) == (3 * KG, "moved", original)


def test_undoing_a_topping_up_gives_back_the_fill_of_before(lot, operator, lead):
    before = contents(lot.bin)
    other = make_delivery(operator, form="offcut").lot
    posting = move_lot(lot=other, bin=lot.bin, mass=grams(1000), act=make_act(operator))
    undo(posting, lead)
    assert contents(lot.bin) == before


def test_undoing_one_of_two_toppings_up_keeps_the_other(lot, operator, lead):
    bin = BinFactory()
    first = move_lot(lot=lot, bin=bin, mass=grams(1000), act=make_act(operator))
    move_lot(lot=lot, bin=bin, mass=grams(2000), act=make_act(operator))
    undo(first, lead)
    assert open_lot_in(bin).held_mg == 2 * KG


def test_undoing_keeps_the_form_in_which_things_came_into_the_bin(operator, lead):
    bin = BinFactory(colour=colour("mixed"))
    flake, offcut = make_delivery(operator).lot, make_delivery(operator, form="offcut").lot
    red = make_delivery(operator, form="dust", colour="red").lot
    move_lot(lot=offcut, bin=bin, mass=grams(1000), act=make_act(operator))
    move_lot(lot=flake, bin=bin, mass=grams(1000), act=make_act(operator))
    before = contents(bin)
    undo(move_lot(lot=red, bin=bin, mass=grams(1000), act=make_act(operator)), lead)
    assert contents(bin) == before


def test_undoing_a_topping_up_keeps_what_was_identified_since(operator, lead):
    unknown, bin = make_delivery(operator, polymer=None, identified_by="unknown").lot, BinFactory()
    lift_hold(hold=unknown.holds.get(), act=make_act(lead, "seen"))
    move_lot(lot=unknown, bin=bin, act=make_act(operator))
    found = {"polymer": polymer("PE-HD"), "identified_by": "test"}
    identify_lot(lot=open_lot_in(bin), act=make_act(lead, "melted a flake"), **found)
    before = contents(bin)
    other = make_delivery(operator).lot
    undo(move_lot(lot=other, bin=bin, act=make_act(operator)), lead)
    assert contents(bin) == before


def test_an_undone_delivery_is_no_longer_there(lot, lead):
    undo(Posting.objects.get(), lead)
    lot.refresh_from_db()
    assert (lot.in_mg, open_lot_in(lot.bin), origins_of(lot)) == (0, None, [])


def test_undoing_a_disposal_brings_it_back_into_its_bin(lot, operator, lead):
    before = contents(lot.bin)
    undo(dispose_lot(lot=lot, act=make_act(operator, "burnt")), lead)
    assert contents(lot.bin) == before


def test_undoing_a_writing_off_brings_it_back(lot, operator, lead):
    undo(write_off_lot(lot=lot, act=make_act(operator, "found empty")), lead)
    assert open_lot_in(lot.bin).held_mg == 10 * KG


def test_refuses_to_undo_without_a_reason(lot, lead):
    posting = Posting.objects.get()
    with refused("reason"):
        undo(posting, lead, reason="")


def test_refuses_to_undo_twice(lot, lead):
    posting = Posting.objects.get()
    undo(posting, lead)
    with refused("already-reversed"):
        undo(posting, lead)


def test_refuses_to_undo_an_undoing(lot, lead):
    mirror = undo(Posting.objects.get(), lead)
    with refused("is-reversal"):
        undo(mirror, lead)


def test_a_repeated_undoing_is_answered_with_the_first(lot, lead):
    posting, act = Posting.objects.get(), make_act(lead, "entered twice")
    mirror = reverse_posting(posting=posting, act=act)
    before = written()
    assert reverse_posting(posting=posting, act=act) == mirror
    assert written() == before


def test_refuses_to_undo_what_was_used_since_and_names_the_later_postings(lot, operator, lead):
    received = Posting.objects.get()
    bin = BinFactory()
    first = move_lot(lot=lot, bin=bin, mass=grams(1000), act=make_act(operator))
    second = dispose_lot(lot=lot, mass=grams(1000), act=make_act(operator, "burnt"))
    with refused("later-postings") as refusal:
        undo(received, lead)
    assert first.number in sentence(refusal)
    assert second.number in sentence(refusal)


def test_undoes_it_once_the_later_postings_are_undone(lot, operator, lead):
    received = Posting.objects.get()
    undo(dispose_lot(lot=lot, mass=grams(1000), act=make_act(operator, "burnt")), lead)
    assert undo(received, lead).reverses == received


def test_refuses_to_put_back_into_a_bin_that_was_filled_since(lot, operator, lead):
    away = move_lot(lot=lot, bin=BinFactory(), act=make_act(operator))
    other = make_delivery(operator, bin=lot.bin)
    with refused("later-postings") as refusal:
        undo(away, lead)
    assert Posting.objects.get(uuid=other.uuid).number in sentence(refusal)


def test_refuses_to_put_back_into_a_bin_that_was_filled_and_emptied_since(lot, operator, lead):
    """What was poured in would have met what was there, and taken some of it along."""
    wrong = dispose_lot(lot=lot, act=make_act(operator, "burnt"))
    other, bin = make_delivery(operator, bin=lot.bin), BinFactory()
    move_lot(lot=other.lot, bin=bin, act=make_act(operator))
    with refused("later-postings") as refusal:
        undo(wrong, lead)
    assert Posting.objects.get(uuid=other.uuid).number in sentence(refusal)


def test_refuses_to_split_a_fill_that_took_more_since(lot, operator, lead):
    """The first topping up made the new fill; undone alone it would leave two fills in one bin."""
    other = make_delivery(operator).lot
    first = move_lot(lot=other, bin=lot.bin, mass=grams(1000), act=make_act(operator))
    second = move_lot(lot=other, bin=lot.bin, mass=grams(2000), act=make_act(operator))
    with refused("later-postings") as refusal:
        undo(first, lead)
    assert second.number in sentence(refusal)
    assert first.number not in sentence(refusal)


def test_names_what_filled_the_bin_and_not_an_undoing(lot, operator, lead):
    away = move_lot(lot=lot, bin=BinFactory(), act=make_act(operator))
    other = make_delivery(operator).lot
    stays = move_lot(lot=other, bin=lot.bin, mass=grams(1000), act=make_act(operator))
    extra = move_lot(lot=other, bin=lot.bin, mass=grams(1000), act=make_act(operator))
    undone = undo(extra, lead)
    with refused("later-postings") as refusal:
        undo(away, lead)
    assert stays.number in sentence(refusal)
    assert undone.number not in sentence(refusal)


def test_refuses_to_take_back_from_a_fill_on_hold(lot, operator, lead):
    bin = BinFactory()
    posting = move_lot(lot=lot, bin=bin, mass=grams(1000), act=make_act(operator))
    hold_lot(lot=open_lot_in(bin), act=make_act(operator, "smells"))
    with refused("on-hold"):
        undo(posting, lead)


def test_refuses_to_put_back_into_a_retired_bin(lot, operator, lead):
    posting = move_lot(lot=lot, bin=BinFactory(), act=make_act(operator))
    retire_bin(bin=lot.bin, act=make_act(lead))
    with refused("retired"):
        undo(posting, lead)


def test_an_id_of_a_posting_does_for_no_undoing(lot, lead):
    received = Posting.objects.get()
    with refused("key-reused"):
        reverse_posting(posting=received, act=make_act(lead, "twice", key=UUID(str(received.uuid))))


def test_undone_and_done_again_adds_up(lot, operator, lead):
    bin = BinFactory()
    undo(move_lot(lot=lot, bin=bin, mass=grams(3000), act=make_act(operator)), lead)
    move_lot(lot=lot, bin=bin, mass=grams(4000), act=make_act(operator))
    assert open_lot_in(bin).held_mg == 4 * KG
    assert [(row.lot, row.share) for row in origins_of(open_lot_in(bin))] == [(lot, 1.0)]
