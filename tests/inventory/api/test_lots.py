"""Lots over the API, and what is done to them."""

import pytest

from inventory.models import Lot
from inventory.queries.lots import open_lot_in
from tests.factories.api import client_of, send
from tests.factories.inventory import KG, BinFactory, make_delivery, make_full_bin
from tests.factories.workshop import load, make_run, weigh_out

pytestmark = pytest.mark.django_db


def test_a_lot_shows_what_it_is_and_holds(api_client, operator):
    bin, lot = make_full_bin(operator)
    answer = api_client.get(f"/api/lots/{lot.code}/").json()
    assert (answer["mark"], answer["held_mg"], answer["on_hold"]) == (">PE-HD<", 10 * KG, False)
    assert answer["bin"] == {"code": bin.code, "name": bin.name}


def test_a_move_leaves_the_rest_where_it_was(api_client, operator):
    bin, lot = make_full_bin(operator)
    other = BinFactory()
    send(api_client, "moves/", from_bin=bin.name, to_bin=other.code, mass_mg=4 * KG)
    assert (open_lot_in(bin).held_mg, open_lot_in(other).held_mg) == (6 * KG, 4 * KG)


def test_a_move_without_a_mass_takes_all(api_client, operator):
    bin, lot = make_full_bin(operator)
    answer = send(api_client, "moves/", lot=lot.code, to_bin=BinFactory().name, mass_mg=None)
    assert answer.json()["transfers"][0]["mass_mg"] == 10 * KG
    assert open_lot_in(bin) is None


def test_a_disposal_needs_its_reason(api_client, operator):
    _bin, lot = make_full_bin(operator)
    answer = send(api_client, "disposals/", lot=lot.code)
    lot.refresh_from_db()
    assert (answer.status_code, answer.json()["code"]) == (422, "reason")
    assert lot.out_mg == 0


def test_what_is_gone_is_written_off(api_client, operator):
    bin, lot = make_full_bin(operator)
    answer = send(api_client, "write-offs/", from_bin=bin.name, reason="found empty").json()
    assert (answer["kind"], answer["transfers"][0]["role"]) == ("empty", "count")
    assert open_lot_in(bin) is None


def test_the_lead_says_what_an_unknown_lot_is(operator, lead):
    lot = make_delivery(operator, polymer=None, identified_by="unknown").lot
    body = {"polymer": "pp", "identified_by": "float-sink", "reason": "floats"}
    send(client_of(lead), f"lots/{lot.code}/identify/", **body)
    assert Lot.objects.get(pk=lot.pk).polymer.symbol == "PP"


def test_lots_are_narrowed(api_client, operator):
    bin, lot = make_full_bin(operator)
    make_full_bin(operator, polymer="PP")
    make_delivery(operator, polymer=None, identified_by="unknown")
    query = f"open=true&on_hold=false&kind=delivery&polymer=PE-HD&bin={bin.name}&search={lot.code}"
    answer = api_client.get(f"/api/lots/?{query}").json()
    assert [row["code"] for row in answer["results"]] == [lot.code]


def test_lots_on_hold_are_found(api_client, operator):
    make_full_bin(operator)
    lot = make_delivery(operator, polymer=None, identified_by="unknown").lot
    answer = api_client.get("/api/lots/?on_hold=true").json()
    assert [row["code"] for row in answer["results"]] == [lot.code]


def test_empty_lots_are_found(api_client, operator):
    _bin, lot = make_full_bin(operator)
    make_full_bin(operator)
    send(api_client, "write-offs/", lot=lot.code, reason="found empty")
    answer = api_client.get("/api/lots/?open=false").json()
    assert [row["code"] for row in answer["results"]] == [lot.code]


def test_pages_hold_as_many_rows_as_asked_for(api_client, operator):
    lots = [make_delivery(operator).code for _ in range(3)]
    answer = api_client.get("/api/lots/?page_size=2").json()
    assert [row["code"] for row in answer["results"]] == lots[:0:-1]
    after = api_client.get(answer["next"]).json()
    assert ([row["code"] for row in after["results"]], after["next"]) == (lots[:1], None)


def test_the_list_asks_the_same_for_any_length(api_client, operator, django_assert_max_num_queries):
    for _ in range(6):
        make_full_bin(operator)
    with django_assert_max_num_queries(3):
        assert len(api_client.get("/api/lots/").json()["results"]) == 6


def test_lots_are_found_by_the_run_that_filled_them(api_client, operator):
    run, other = make_run(operator, "granulate"), make_run(operator, "granulate")
    for each in (run, other):
        load(each, make_full_bin(operator)[1], operator, KG)
    weigh_out(run, operator, "material", KG // 2, bin=BinFactory())
    found = api_client.get(f"/api/lots/?run={run.number.lower()}").json()["results"]
    assert {lot["kind"] for lot in found} == {"charge", "fill"}
    assert api_client.get("/api/lots/?run=nothing").json()["results"] == []
