"""Marks over the API."""

import json

import pytest

from tests.factories.api import client_of
from tests.factories.inventory import make_delivery, polymer
from tests.factories.workshop import DesignFactory

pytestmark = pytest.mark.django_db


def parse(client, text):
    body = json.dumps({"text": text})
    return client.post("/api/marks/parse/", body, content_type="application/json")


def test_a_mark_is_read_into_its_tree(api_client):
    """An example of ISO 1043-2: a mixture of glass fibre and mineral powder in PA66."""
    answer = parse(api_client, ">PA66-(GF25+MD15)FR(52)<")
    (layer,) = answer.json()["layers"]
    assert answer.status_code == 200
    assert [each["symbol"] for each in layer["constituents"]] == ["PA66"]
    assert [each["percent"] for each in layer["fillers"]] == [25, 15]
    assert layer["flame_code"] == 52
    assert "PA66 is polyamide 66." in answer.json()["explanation"]


def test_a_trade_spelling_is_refused_with_place_and_sentence(api_client):
    answer = parse(api_client, ">HDPE<")
    body = answer.json()
    assert (answer.status_code, body["code"], body["position"]) == (422, "trade-spelling", 1)
    assert body["detail"] == "HDPE is written PE-HD in ISO 1043-1."
    assert body["suggestion"] == ">PE-HD<"


def test_an_auditor_may_ask(auditor):
    assert parse(client_of(auditor), ">PP<").status_code == 200


@pytest.mark.parametrize("text", [None, 5, "x" * 121])
def test_what_is_no_text_is_refused(api_client, text):
    assert parse(api_client, text).status_code == 400


def test_a_lot_has_the_mark_of_its_make_up(api_client, operator):
    code = make_delivery(operator).code
    answer = api_client.get(f"/api/lots/{code}/mark/").json()
    assert (answer["lot"], answer["text"], answer["left_out"]) == (code, ">PE-HD<", [])
    assert (answer["resin"], answer["packaging"]["text"]) == ({"number": 2, "text": "HDPE"}, "HDPE")


def test_a_lot_of_unknown_polymer_has_none(api_client, operator):
    code = make_delivery(operator, polymer=None, identified_by="unknown").code
    answer = api_client.get(f"/api/lots/{code}/mark/").json()
    assert (answer["text"], answer["resin"]) == ("", None)
    assert answer["warnings"]


def test_a_design_says_what_its_parts_must_say(api_client):
    design = DesignFactory(is_packaging=True)
    design.polymers.set([polymer("PP")])
    answer = api_client.get(f"/api/designs/{design.pk}/marks/").json()
    assert [each["text"] for each in answer["markings"]] == [">PP<"]
    assert answer["advice"][0]["marking"] == "97/129/EC"
