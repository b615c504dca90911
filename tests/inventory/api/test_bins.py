"""Bins over the API."""

import pytest

from inventory.models import Bin
from tests.factories.api import client_of, send
from tests.factories.inventory import KG, BinFactory, make_full_bin

pytestmark = pytest.mark.django_db


def test_a_bin_shows_its_fill(api_client, operator):
    bin, lot = make_full_bin(operator)
    answer = api_client.get(f"/api/bins/{bin.code}/").json()
    assert answer["fill"] == {
        "lot": lot.code,
        "polymer": "PE-HD",
        "colour": "blue",
        "form": "flake",
        "held_mg": 10 * KG,
        "on_hold": False,
    }


def test_a_bin_is_found_by_its_shop_name(api_client):
    bin = BinFactory(name="B-07")
    assert api_client.get("/api/bins/b-07/").json()["code"] == bin.code


def test_an_exact_name_goes_before_one_in_other_capitals(api_client):
    BinFactory(name="B-07")
    small = BinFactory(name="b-07")
    assert api_client.get("/api/bins/b-07/").json()["code"] == small.code


def test_an_empty_bin_has_no_fill(api_client):
    assert api_client.get(f"/api/bins/{BinFactory().code}/").json()["fill"] is None


def test_the_lead_puts_a_bin_into_use(lead):
    body = {"name": "B-08", "capacity_mg": 20 * KG, "polymer": "PP", "colour": "Mixed"}
    answer = send(client_of(lead), "bins/", **body).json()
    bin = Bin.objects.get(code=answer["code"])
    assert (bin.name, bin.capacity_mg, bin.polymer.symbol) == ("B-08", 20 * KG, "PP")
    assert bin.colour.is_mixed


def test_a_name_is_given_once(lead):
    answer = send(client_of(lead), "bins/", name=BinFactory().name, capacity_mg=KG)
    assert (answer.status_code, answer.json()["code"]) == (422, "name-taken")
    assert Bin.objects.count() == 1


def test_an_empty_bin_is_retired(lead):
    bin = BinFactory()
    send(client_of(lead), f"bins/{bin.code}/retire/")
    bin.refresh_from_db()
    assert bin.retired_at


def test_a_full_bin_is_not_retired(lead):
    bin, _lot = make_full_bin(lead)
    answer = send(client_of(lead), f"bins/{bin.name}/retire/")
    bin.refresh_from_db()
    assert (answer.status_code, answer.json()["code"]) == (422, "not-empty")
    assert bin.retired_at is None


def test_bins_are_narrowed_and_sorted(api_client):
    BinFactory(name="B-2", place="yard")
    BinFactory(name="B-1", place="yard")
    BinFactory(name="B-3")
    answer = api_client.get("/api/bins/?place=Yard&ordering=name&retired=false").json()
    assert [row["name"] for row in answer["results"]] == ["B-1", "B-2"]


def test_the_list_asks_the_same_for_any_length(api_client, operator, django_assert_max_num_queries):
    for _ in range(6):
        make_full_bin(operator)
    with django_assert_max_num_queries(4):
        assert len(api_client.get("/api/bins/").json()["results"]) == 6
