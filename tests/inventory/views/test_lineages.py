"""Receiving with a document on the pages: upload, look, accept, and every way it can go wrong."""

import json
from uuid import uuid4

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse

from inventory.models import Delivery
from tests.factories.epcis import OTHER, blend, changed, document
from tests.factories.inventory import SourceFactory, make_delivery

pytestmark = [pytest.mark.django_db, pytest.mark.one_database]
ADDRESS = reverse("inventory:lineage-bring")


def look(client, content, **more):
    text = content if isinstance(content, bytes) else json.dumps(content).encode()
    return client.post(
        ADDRESS, {"decision": "look", "file": SimpleUploadedFile("a.jsonld", text)} | more
    )


def accept(client, key, found=None, **changes):
    fields = {
        "decision": "accept",
        "key": key,
        "document": json.dumps(found or blend()),
        "lot": f"{OTHER}/class/F1",
        "source": changes.pop("source", None) or SourceFactory().pk,
        "delivered_on": "2026-03-09",
        "net": "7",
        "polymer": "PP",
        "identified_by": "statement",
        "colour": "blue",
        "form": "flake",
        "condition": "clean",
    }
    return client.post(ADDRESS, fields | changes)


def test_a_look_shows_what_would_be_brought_and_writes_nothing(desk):
    answer = look(desk, blend())
    page = answer.content.decode()
    assert answer.status_code == 200
    assert f"{OTHER}/class/F1" in page
    assert "75" in page
    assert "Coast" in page
    assert 'value="PP"' in page
    assert Delivery.objects.count() == 0


def test_another_lot_of_the_document_can_be_chosen(desk):
    found = blend()
    found["epcisBody"]["eventList"].append(changed(4, {"F1": 3}, {"F2": 3}))
    found["ws:about"] = [f"{OTHER}/class/F1"]
    page = look(desk, found).content.decode()
    assert f'<option value="{OTHER}/class/F2"' in page
    sent = {"decision": "look", "document": json.dumps(found), "lot": f"{OTHER}/class/F2"}
    assert f"{OTHER}/class/F2</span>" in desk.post(ADDRESS, sent).content.decode()


def test_accepting_receives_it_and_pages_show_where_it_came_from(desk, key):
    answer = accept(desk, key)
    delivery = Delivery.objects.get()
    assert answer.url == delivery.get_absolute_url()
    assert delivery.net_mg == 7_000_000
    for name in ("inventory:delivery-detail", "inventory:lot-detail", "inventory:trace"):
        page = desk.get(reverse(name, args=[delivery.code])).content.decode()
        assert f"{OTHER}/class/D1" in page
        assert "Coast" in page


def test_the_list_of_origins_does_not_name_one_class_for_several(desk, key):
    accept(desk, key)
    code = Delivery.objects.get().code
    page = desk.get(reverse("inventory:trace-origins", args=[code])).content.decode()
    assert "as its document tells" in page


def test_the_document_is_handed_out_as_it_came(desk, reader, key):
    accept(desk, key)
    answer = reader.get(reverse("inventory:lineage-document", args=[Delivery.objects.get().code]))
    assert answer.headers["Content-Type"] == "application/ld+json"
    assert answer.json() == blend()


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (b"", "empty"),
        (b"not json", "no JSON"),
        (b"[" * 100_000, "deeper"),
        (b'{"type": "EPCISDocument"}', "/epcisBody/eventList"),
        (document(changed(3, {"D1": 6}, {"F1": 6})), "/epcisBody/eventList/0/inputQuantityList/0"),
        ({"a": "\x00"}, "cannot be kept"),
    ],
)
def test_a_hostile_file_is_refused_with_its_places(desk, content, said):
    answer = look(desk, content)
    assert answer.status_code == 422
    assert said in answer.content.decode()


def test_what_is_wrong_with_all_of_a_file_names_no_place_in_it(desk):
    """RFC 6901, 5: the pointer of a whole document is empty, and "/" would be a key of no letters."""
    answer = look(desk, b"not json")
    assert "The whole file" in answer.content.decode()
    assert answer.context["faults"][0].pointer == ""


def test_no_file_is_refused(desk):
    assert desk.post(ADDRESS, {"decision": "look"}).status_code == 422


def test_a_refused_receipt_keeps_what_was_typed_and_the_document(desk, key):
    answer = accept(desk, key, net="", polymer="PE-HD", supplier_lot="their 7")
    page = answer.content.decode()
    assert answer.status_code == 422
    assert 'value="their 7"' in page
    assert "&quot;EPCISDocument&quot;" in page
    assert accept(desk, key, polymer="PE-HD").status_code == 422
    assert Delivery.objects.count() == 0


def test_a_document_that_was_tampered_with_on_the_way_is_refused(desk, key):
    assert accept(desk, key, document="{").status_code == 422
    assert accept(desk, key, lot="nothing").status_code == 422
    assert Delivery.objects.count() == 0


def test_a_lot_that_was_received_says_so_before_it_is_received_again(desk, key):
    accept(desk, key)
    assert Delivery.objects.get().number in look(desk, blend()).content.decode()


def test_the_same_lot_brought_again_is_said_to_be_here_already(desk, key):
    source = SourceFactory().pk
    accept(desk, key, source=source)
    accept(desk, str(uuid4()), source=source)
    delivery = Delivery.objects.get()
    page = desk.get(delivery.get_absolute_url()).content.decode()
    assert f"received before, just so, as {delivery.number}; nothing was added" in page


def test_only_the_lead_brings(floor, reader):
    assert {client.get(ADDRESS).status_code for client in (floor, reader)} == {403}


def test_a_mass_far_from_what_the_source_brought_is_asked_back_and_accepted_by_one_tap(
    desk, operator, key
):
    source = SourceFactory()
    for _number in range(3):
        make_delivery(operator, source=source)
    asked = accept(desk, key, source=source.pk, net="7 g")
    assert (asked.status_code, Delivery.objects.count()) == (422, 3)
    token = asked.context["form"].asked_token
    accept(desk, key, source=source.pk, net="7 g", decision="", confirmed=token)
    assert Delivery.objects.latest("pk").net_mg == 7_000
