"""Traces over the API."""

import pytest

from tests.factories.api import send
from tests.factories.inventory import KG, BinFactory, make_full_bin
from tests.factories.workshop import load, make_run, weigh_out

pytestmark = pytest.mark.django_db


@pytest.fixture
def sheet(operator):
    """A sheet of 4 kg pressed from 6 kg of one delivery and 2 kg of another."""
    _bin, first = make_full_bin(operator)
    _bin, second = make_full_bin(operator)
    run = make_run(operator)
    load(run, first, operator, 6 * KG)
    load(run, second, operator, 2 * KG)
    made = weigh_out(run, operator, "part", 4 * KG, pieces=1)
    return made.posting.transfers.get().target, first, second


def test_origins_name_each_lot_from_outside_once(api_client, sheet):
    lot, first, second = sheet
    answer = api_client.get(f"/api/lots/{lot.code}/origins/").json()
    assert list(answer) == ["lot", "total_mg", "origins", "abroad"]
    assert (answer["lot"], answer["total_mg"]) == (lot.code, 4 * KG)
    assert [(row["lot"], row["share"], row["mass_mg"]) for row in answer["origins"]] == [
        (first.code, 0.75, 3 * KG),
        (second.code, 0.25, KG),
    ]


def test_an_origin_tells_who_it_came_from(api_client, sheet):
    lot, first, _second = sheet
    row = api_client.get(f"/api/lots/{lot.code}/origins/").json()["origins"][0]
    assert row["source"] == first.delivery.source.name
    assert (row["origin_class"], row["polymer"], row["colour"]) == (
        "post-consumer",
        "PE-HD",
        "blue",
    )


def test_a_delivery_is_its_own_origin(api_client, operator):
    _bin, lot = make_full_bin(operator)
    rows = api_client.get(f"/api/lots/{lot.code}/origins/").json()["origins"]
    assert [(row["lot"], row["share"], row["mass_mg"]) for row in rows] == [
        (lot.code, 1.0, 10 * KG)
    ]


def test_uses_name_each_lot_and_each_fate(api_client, sheet):
    lot, first, _second = sheet
    send(api_client, "disposals/", lot=first.code, mass_mg=KG, reason="wet")
    answer = api_client.get(f"/api/lots/{first.code}/uses/").json()
    assert list(answer) == ["lot", "total_mg", "uses"]
    found = {(row["lot"], row["fate"]): row["mass_mg"] for row in answer["uses"]}
    assert found[first.code, ""] == 3 * KG
    assert found[lot.code, ""] == 3 * KG
    assert found[None, "disposed"] == KG
    assert sum(found.values()) == answer["total_mg"] == 10 * KG


def test_a_make_up_is_cut_four_ways(api_client, sheet):
    answer = api_client.get(f"/api/lots/{sheet[0].code}/make-up/").json()
    assert answer["by_origin"][0] | {"label": ""} == {
        "label": "",
        "share": 1.0,
        "mass_mg": 4 * KG,
        "srgb": "",
    }
    assert [row["label"] for row in answer["by_polymer"]] == ["PE-HD"]
    assert [row["label"] for row in answer["by_passes"]] == ["1"]
    assert answer["by_colour"][0]["srgb"].startswith("#")


def test_a_make_up_tells_its_melt_passes_and_how_it_was_kept(api_client, sheet):
    answer = api_client.get(f"/api/lots/{sheet[0].code}/make-up/").json()
    tails = [{"times": 1, "share": 1.0}]
    assert answer["passes"] == {"mean": 1.0, "most": 1, "is_open": False, "from_times": tails}
    assert answer["custody"] == "segregated"


def test_a_lot_whose_filling_was_reversed_came_from_nowhere(api_client, operator, lead):
    bin, lot = make_full_bin(operator)
    api_client.force_authenticate(lead)
    send(api_client, f"postings/{lot.filled_by.uuid}/reversal/", reason="weighed wrongly")
    answer = api_client.get(f"/api/lots/{lot.code}/origins/").json()
    assert answer == {"lot": lot.code, "total_mg": 0, "origins": [], "abroad": []}


def test_a_lot_that_was_moved_leads_back_to_its_delivery(api_client, operator):
    _bin, lot = make_full_bin(operator)
    moved = send(api_client, "moves/", lot=lot.code, to_bin=BinFactory().name, mass_mg=KG).json()
    fill = moved["transfers"][0]["target"]
    rows = api_client.get(f"/api/lots/{fill}/origins/").json()["origins"]
    assert [(row["lot"], row["mass_mg"]) for row in rows] == [(lot.code, KG)]
