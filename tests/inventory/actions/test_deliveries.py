"""Receiving: an accepted delivery becomes a lot, a refused one stays a record."""

import pytest

from inventory.actions.bins import retire_bin
from inventory.actions.deliveries import receive_delivery, refuse_delivery
from inventory.actions.lots import lift_hold, move_lot
from inventory.actions.postings import reverse_posting
from inventory.models import Delivery, Hold, Lot, Posting, Transfer
from inventory.queries.lots import open_lot_in
from inventory.queries.traces import origins_of
from tests.factories.book import refused, written
from tests.factories.inventory import (
    KG,
    BinFactory,
    ScaleFactory,
    SourceFactory,
    colour,
    grams,
    make_act,
    make_delivery,
    make_full_bin,
    make_receipt,
    polymer,
)

pytestmark = pytest.mark.django_db


def test_becomes_a_lot_that_shares_its_code(operator):
    delivery = make_delivery(operator)
    lot = Lot.objects.get()
    assert (delivery.lot, delivery.code, lot.kind) == (lot, lot.code, "delivery")
    assert (lot.in_mg, lot.out_mg, lot.origin_class) == (10 * KG, 0, "post-consumer")


def test_comes_into_the_book_by_one_transfer_from_outside(operator):
    lot = make_delivery(operator).lot
    transfer = Transfer.objects.get()
    assert (transfer.source, transfer.target, transfer.mass_mg) == (None, lot, 10 * KG)
    assert transfer.role == "received"


def test_stands_in_an_empty_bin_as_it_came(operator):
    bin, lot = make_full_bin(operator)
    assert open_lot_in(bin) == lot
    assert Posting.objects.count() == 1


def test_makes_a_new_fill_with_what_the_bin_holds_already(operator):
    bin, first = make_full_bin(operator)
    second = make_delivery(operator, bin=bin, net_mg=5 * KG).lot
    fill = open_lot_in(bin)
    assert fill not in {first, second}
    assert [(row.lot, row.mass_mg) for row in origins_of(fill)] == [
        (first, 10 * KG),
        (second, 5 * KG),
    ]


def test_is_answered_with_what_is_left_of_its_lot_after_it_went_into_a_bin(operator):
    bin, _first = make_full_bin(operator)
    assert make_delivery(operator, bin=bin).lot.held_mg == 0


def test_a_weighed_net_carries_the_uncertainty_of_two_readings(operator):
    """d = 10 g: u = sqrt 2 * d / (2 sqrt 3) = 4.082 g (JCGM 100, 4.3.7)."""
    weighed = {"gross_mg": 11 * KG, "tare_mg": KG, "scale": ScaleFactory()}
    make_delivery(operator, **weighed)
    assert Transfer.objects.get().uncertainty_ug == 4_082_483


def test_a_typed_mass_says_so(operator):
    make_delivery(operator)
    assert (Transfer.objects.get().basis, Transfer.objects.get().scale) == ("typed", None)


@pytest.mark.parametrize(
    "figures",
    [
        {"gross_mg": 11 * KG, "tare_mg": 2 * KG},
        {"gross_mg": 11 * KG},
        {"tare_mg": KG},
        {"gross_mg": 9 * KG, "tare_mg": -KG},
        {"net_mg": 0},
        {"net_mg": -KG},
    ],
)
def test_refuses_figures_that_give_no_net_mass(operator, figures):
    receipt = make_receipt(**figures)
    with refused("net"):
        receive_delivery(receipt=receipt, act=make_act(operator))


def test_refuses_a_polymer_that_nobody_could_tell(operator):
    receipt = make_receipt(identified_by="unknown")
    with refused("identity"):
        receive_delivery(receipt=receipt, act=make_act(operator))


def test_refuses_to_know_how_but_not_what(operator):
    receipt = make_receipt(polymer=None, identified_by="mark")
    with refused("identity"):
        receive_delivery(receipt=receipt, act=make_act(operator))


# ISO 14021: rework, regrind and scrap of the same process are no recycled content.
@pytest.mark.parametrize("origin_class", ["post-consumer", "pre-consumer"])
def test_refuses_recycled_material_from_the_workshop_itself(operator, settings, origin_class):
    settings.WORKSHOP_NAME = "Mill workshop"
    source, before = SourceFactory(name="mill Workshop"), written()
    with refused("own-material"):
        make_delivery(operator, source=source, origin_class=origin_class)
    assert written() == before


@pytest.mark.parametrize("origin_class", ["unknown", "virgin"])
def test_takes_its_own_old_stock_as_no_recycled_material(operator, settings, origin_class):
    settings.WORKSHOP_NAME = "Mill workshop"
    source = SourceFactory(name="Mill workshop")
    assert make_delivery(operator, source=source, origin_class=origin_class).lot.in_mg


def test_refuses_more_than_the_scale_can_weigh(operator):
    receipt = make_receipt(gross_mg=61 * KG, tare_mg=51 * KG, scale=ScaleFactory())
    with refused("over-capacity"):
        receive_delivery(receipt=receipt, act=make_act(operator))


def test_holds_what_nobody_identified_at_once(operator):
    lot = make_delivery(operator, polymer=None, identified_by="unknown").lot
    hold = Hold.objects.open().get()
    assert (hold.lot, hold.placed_by, hold.placed_role) == (lot, operator, "operator")


@pytest.mark.parametrize("symbol", ["PVC-U", "POM"])
def test_holds_reject_material_at_once(operator, symbol):
    lot = make_delivery(operator, polymer=symbol).lot
    assert symbol in lot.holds.get().reason


def test_holds_nothing_that_is_known_and_wanted(operator):
    make_delivery(operator)
    assert not Hold.objects.exists()


def test_refuses_a_bin_without_room(operator):
    bin, receipt = BinFactory(capacity_mg=10 * KG - 1), make_receipt()
    with refused("overfull"):
        receive_delivery(receipt=receipt, bin=bin, act=make_act(operator))


def test_fills_a_bin_to_the_brim(operator):
    bin = BinFactory(capacity_mg=10 * KG)
    assert make_delivery(operator, bin=bin).lot.bin == bin


def test_refuses_a_bin_that_lacks_room_for_both(operator):
    bin, _lot = make_full_bin(operator, bin_fields={"capacity_mg": 15 * KG})
    receipt = make_receipt(net_mg=5 * KG + 1)
    with refused("overfull"):
        receive_delivery(receipt=receipt, bin=bin, act=make_act(operator))


def test_refuses_a_bin_kept_for_another_polymer(operator):
    bin, receipt = BinFactory(polymer=polymer("PP")), make_receipt()
    with refused("polymer-mismatch"):
        receive_delivery(receipt=receipt, bin=bin, act=make_act(operator))


def test_refuses_a_bin_that_holds_another_polymer(operator):
    bin, _lot = make_full_bin(operator)
    receipt = make_receipt(polymer="PP")
    with refused("polymer-mismatch"):
        receive_delivery(receipt=receipt, bin=bin, act=make_act(operator))


def test_refuses_a_bin_kept_for_another_colour(operator):
    bin, receipt = BinFactory(colour=colour("red")), make_receipt()
    with refused("colour-mismatch"):
        receive_delivery(receipt=receipt, bin=bin, act=make_act(operator))


def test_refuses_unknown_material_for_a_bin_kept_for_a_polymer(operator):
    bin = BinFactory(polymer=polymer("PP"))
    receipt = make_receipt(polymer=None, identified_by="unknown")
    with refused("unknown-material"):
        receive_delivery(receipt=receipt, bin=bin, act=make_act(operator))


def test_refuses_to_mix_unknown_material_into_a_bin(operator):
    bin, lot = make_full_bin(operator, polymer=None, identified_by="unknown")
    lift_hold(hold=lot.holds.get(), act=make_act(operator, "looked at"))
    receipt = make_receipt()
    with refused("unknown-material"):
        receive_delivery(receipt=receipt, bin=bin, act=make_act(operator))


def test_refuses_a_bin_whose_fill_is_on_hold(operator):
    bin, _lot = make_full_bin(operator, polymer="PVC-U")
    receipt = make_receipt(polymer="PVC-U")
    with refused("on-hold"):
        receive_delivery(receipt=receipt, bin=bin, act=make_act(operator))


def test_refuses_a_retired_bin(operator, lead):
    bin = retire_bin(bin=BinFactory(), act=make_act(lead))
    receipt = make_receipt()
    with refused("retired"):
        receive_delivery(receipt=receipt, bin=bin, act=make_act(operator))


def test_a_repeat_is_answered_with_the_same_delivery(operator):
    act, (bin, _lot) = make_act(operator), make_full_bin(operator)
    source = SourceFactory()
    first = make_delivery(operator, bin=bin, act=act, source=source)
    before = written()
    assert make_delivery(operator, bin=bin, act=act, source=source) == first
    assert written() == before


def test_refuses_another_mass_under_the_same_id(operator):
    act, source = make_act(operator), SourceFactory()
    make_delivery(operator, act=act, source=source)
    with refused("key-reused"):
        make_delivery(operator, act=act, source=source, net_mg=9 * KG)


def test_turned_away_stays_on_record_and_never_enters_the_ledger(operator):
    receipt = make_receipt()
    delivery = refuse_delivery(receipt=receipt, act=make_act(operator, "smells of solvent"))
    assert (delivery.lot, delivery.refusal) == (None, "smells of solvent")
    assert not Posting.objects.exists()
    assert not Lot.objects.exists()


def test_refuses_to_turn_away_without_a_reason(operator):
    receipt = make_receipt()
    with refused("reason"):
        refuse_delivery(receipt=receipt, act=make_act(operator))


def test_turned_away_twice_under_one_id_is_one_record(operator):
    receipt, act = make_receipt(), make_act(operator, "wet")
    first = refuse_delivery(receipt=receipt, act=act)
    assert refuse_delivery(receipt=receipt, act=act) == first
    assert Delivery.objects.count() == 1


def test_may_stay_on_the_floor_and_be_moved_later(operator):
    lot, bin = make_delivery(operator).lot, BinFactory()
    move_lot(lot=lot, bin=bin, mass=grams(4000), act=make_act(operator))
    assert open_lot_in(bin).held_mg == 4 * KG


def test_a_mass_far_from_what_its_source_brought_is_asked_back_once(operator):
    source = SourceFactory(name="Cap round")
    for kilograms in (9, 12, 30):
        make_delivery(operator, source=source, net_mg=kilograms * KG)
    with refused("surprising") as refusal:
        make_delivery(operator, source=source, net_mg=12_000, is_confirmed=False)
    sentence = "You entered 12 g; what Cap round usually brings (12 kg) is about 1000 times that."
    sentence += " The other unit, g or kg, would be as before: was that meant?"
    assert plain(refusal) == sentence
    with refused("surprising") as refusal:
        make_delivery(operator, source=source, net_mg=160 * KG, is_confirmed=False)
    assert plain(refusal) == ("You entered 160 kg, and Cap round brought 9 kg to 30 kg before.")
    make_delivery(operator, source=source, net_mg=160 * KG, is_confirmed=True)
    make_delivery(operator, source=source, net_mg=700 * KG, is_confirmed=False)


def test_what_was_reversed_or_refused_says_nothing_of_a_source(operator, lead):
    source = SourceFactory()
    for _number in range(3):
        delivery = make_delivery(operator, source=source, net_mg=KG)
    refuse_delivery(receipt=make_receipt(source=source, net_mg=KG), act=make_act(operator, "wet"))
    reverse_posting(posting=delivery.lot.filled_by, act=make_act(lead, "wrong scale"))
    make_delivery(operator, source=source, net_mg=900 * KG, is_confirmed=False)


def test_the_confirmation_is_no_part_of_what_was_received(operator):
    receipt, act = make_receipt(), make_act(operator)
    first = receive_delivery(receipt=receipt, act=act, is_confirmed=True)
    assert receive_delivery(receipt=receipt, act=act) == first


def plain(refusal) -> str:
    return refusal.value.messages[0].replace("\xa0", " ")
