"""Bringing in a lot of another workshop: its shares, repeats, and what is refused."""

import json

import pytest
from django.core.exceptions import ValidationError
from django.db import transaction

from inventory.actions.lineages import bring_delivery
from inventory.actions.postings import reverse_posting
from inventory.models import Delivery, ForeignEvent, Lineage, Lot, Posting, Transfer
from inventory.queries.make_ups import shares_of_lots
from inventory.queries.traces import make_up_of, origins_of
from inventory.queries.verification import first_fault
from products.models import Part
from products.queries.passports import make_ups_of_parts
from tests.factories.epcis import OTHER, behind, blend, changed
from tests.factories.exports import make_history
from tests.factories.inventory import KG, BinFactory, make_act, make_delivery, make_receipt
from tests.factories.workshop import load, make_run, weigh_out

pytestmark = pytest.mark.django_db
FLAKE = f"{OTHER}/class/F1"


def bring(by, found=None, lot=FLAKE, act=None, bin=None, **changes):
    receipt = make_receipt(**({"polymer": "PP", "identified_by": "statement"} | changes))
    sent = {"document": found or blend(), "lot": lot, "act": act or make_act(by), "bin": bin}
    return bring_delivery(receipt=receipt, **sent)


def origin_classes(lot) -> dict:
    return shares_of_lots([lot])[lot.pk].by_origin


def refused(code: str, **sent):
    before = (Delivery.objects.count(), Posting.objects.count(), Lineage.objects.count())
    with pytest.raises(ValidationError) as caught:
        bring(**sent)
    assert caught.value.code == code
    assert before == (Delivery.objects.count(), Posting.objects.count(), Lineage.objects.count())


def test_the_shares_are_those_of_the_document_and_the_mass_is_ours(lead):
    lot = bring(lead, net_mg=7 * KG).lot
    assert (lot.in_mg, Transfer.objects.filter(target=lot).count()) == (7 * KG, 1)
    assert origin_classes(lot) == pytest.approx({"post-consumer": 0.75, "virgin": 0.25}, abs=1e-12)
    assert lot.lineage.lots_behind == 3


def test_a_part_made_of_it_claims_by_its_origins(lead):
    """Three quarters post-consumer by the document, half of the part of it: 3/8 and exactly that."""
    own = make_delivery(lead, polymer="PP", origin_class="virgin", net_mg=4 * KG).lot
    run = make_run(lead)
    for lot in (bring(lead, net_mg=4 * KG).lot, own):
        load(run, lot, lead, 2 * KG)
    weigh_out(run, lead, "part", 4 * KG, pieces=1)
    part = Part.objects.get()
    found = make_ups_of_parts([part])[part.pk]
    assert found.by_origin["post-consumer"] * 8 == 3
    assert found.by_colour["white"] * 8 == 1


def test_one_source_is_no_longer_identity_preserved(lead):
    assert make_up_of(bring(lead).lot).custody == "controlled-blending"


def test_the_same_document_again_is_answered_as_the_first_time(lead):
    source = make_receipt().source
    first = bring(lead, source=source)
    later = blend() | {"creationDate": "2026-05-01T00:00:00Z"}
    assert bring(lead, later, source=source) == first
    assert Posting.objects.count() == 1


def test_the_same_uuid_again_changes_nothing(lead):
    act, source = make_act(lead), make_receipt().source
    assert bring(lead, act=act, source=source) == bring(lead, act=act, source=source)
    refused("key-reused", by=lead, act=act, source=source, net_mg=1 * KG)


def test_the_same_lot_received_otherwise_is_refused(lead):
    bring(lead)
    refused("already-received", by=lead, net_mg=3 * KG)


def test_after_a_reversal_it_can_be_received_again(lead):
    posting = Posting.objects.get(uuid=bring(lead).uuid)
    reverse_posting(posting=posting, act=make_act(lead, "wrong lot"))
    assert bring(lead, net_mg=3 * KG).lot.in_mg == 3 * KG
    assert first_fault() is None


def test_other_content_under_the_same_ids_is_refused(lead):
    bring(lead)
    forged = blend()
    forged["epcisBody"]["eventList"][1]["ilmd"]["ws:originClass"] = "post-consumer"
    refused("content-changed", by=lead, found=forged)


def test_more_events_of_the_same_book_are_welcome(lead):
    bring(lead)
    more = blend()
    more["epcisBody"]["eventList"].append(
        changed(4, {"F1": 3}, {"F2": 3}, ilmd={"ws:polymer": "PP"})
    )
    lot = bring(lead, more, f"{OTHER}/class/F2").lot
    assert origin_classes(lot) == pytest.approx({"post-consumer": 0.75, "virgin": 0.25}, abs=1e-12)
    assert ForeignEvent.objects.count() == 4


def test_a_document_that_is_not_sound_is_refused_with_its_places(lead):
    unsound = blend()
    unsound["epcisBody"]["eventList"][2]["outputQuantityList"][0]["quantity"] = 9
    with pytest.raises(ValidationError) as caught:
        bring(lead, unsound)
    assert caught.value.code == "document"
    assert "/epcisBody/eventList/2" in caught.value.messages[0]


def test_what_the_document_calls_otherwise_is_refused(lead):
    refused("polymer-differs", by=lead, polymer="PE-HD")
    refused("document", by=lead, lot=f"{OTHER}/class/NONE")
    strange = blend()
    strange["epcisBody"]["eventList"][0]["ilmd"]["ws:polymer"] = "Unobtainium"
    refused("document", by=lead, found=strange)


def test_it_can_go_straight_into_a_bin(lead):
    bin = BinFactory()
    assert bring(lead, bin=bin).lot.bin == bin
    assert first_fault() is None


def figures(lot: Lot) -> dict:
    made = make_up_of(lot)
    axes = {
        name: getattr(made, name) for name in ("by_origin", "by_colour", "by_polymer", "by_passes")
    }
    return {(name, each.label): each.share for name, strip in axes.items() for each in strip}


def first_workshop(by) -> list[tuple]:
    """What a workshop has and exports, before everything in it is gone again."""
    make_history(by)
    lots = Lot.objects.filter(in_mg__gt=0).exclude(kind="delivery").order_by("-pk")[:12]
    return [(figures(lot), behind(lot), lot.polymer.symbol, lot.colour.name) for lot in lots]


def test_a_lot_has_the_same_make_up_in_a_second_workshop_and_in_a_third(lead):
    """Ledger, document, emptied ledger, document, and once more: within 1e-9 each time."""
    for figures_there, found, symbol, shade in round_trip(lead, first_workshop):
        lot = brought_here(lead, found, symbol, shade)
        assert figures(lot) == pytest.approx(figures_there, abs=1e-9)
        third = under_other_codes(behind(lot, "https://third.example"), lot)
        lot = brought_here(lead, third, symbol, shade)
        assert figures(lot) == pytest.approx(figures_there, abs=1e-9)
    assert first_fault() is None


def under_other_codes(found: dict, lot: Lot) -> dict:
    """A document as a book would tell it in which the lot has a code that this one does not know."""
    return json.loads(json.dumps(found).replace(lot.code, f"second-{lot.code}"))


@pytest.mark.parametrize("base", ["https://this.example", "https://before-it-moved.example"])
def test_refuses_what_stands_in_this_book_already_under_whatever_address(lead, base):
    lot = make_delivery(lead, polymer="PP").lot
    found = behind(lot, base)
    refused("document", by=lead, found=found, lot=found["ws:about"][0])


def test_a_lot_that_was_here_and_is_undone_may_come_from_elsewhere(lead):
    lot = make_delivery(lead, polymer="PP").lot
    found = behind(lot, "https://other.example")
    reverse_posting(posting=lot.filled_by, act=make_act(lead, "went to the other place"))
    assert bring(lead, found, found["ws:about"][0]).lot.in_mg


def round_trip(by, make) -> list:
    """Return what a workshop told; the book is empty again afterwards."""
    with transaction.atomic():
        found = make(by)
        transaction.set_rollback(True)
    assert not Lot.objects.exists()
    return found


def brought_here(by, found: dict, symbol: str, shade: str) -> Lot:
    facts = {"polymer": symbol, "colour": shade, "net_mg": 5 * KG}
    return bring(by, found, found["ws:about"][0], **facts).lot


def test_the_sweep_sees_one_lot_and_the_make_up_its_parts(lead):
    lot = bring(lead).lot
    assert [(row.lot, row.share) for row in origins_of(lot)] == [(lot, 1.0)]
    assert [each.label for each in make_up_of(lot).by_colour] == ["blue", "white"]
