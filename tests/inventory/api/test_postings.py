"""The book over the API."""

import pytest

from inventory.models import Posting
from tests.factories.api import client_of, repeated, send
from tests.factories.inventory import KG, BinFactory, make_full_bin

pytestmark = pytest.mark.django_db


def test_a_posting_is_found_by_its_uuid(api_client, operator):
    _bin, lot = make_full_bin(operator)
    answer = api_client.get(f"/api/postings/{lot.filled_by.uuid}/").json()
    assert (answer["kind"], answer["by"], answer["reversed_by"]) == (
        "receive",
        "operator-one",
        None,
    )
    assert answer["transfers"][0]["target"] == lot.code


def test_a_reversal_mirrors_its_posting(operator, lead):
    _bin, lot = make_full_bin(operator)
    client, key = client_of(lead), str(lot.filled_by.uuid)
    answer = send(client, f"postings/{key}/reversal/", reason="weighed wrongly").json()
    assert (answer["reverses"], answer["transfers"][0]["source"]) == (key, lot.code)
    assert client.get(f"/api/postings/{key}/").json()["reversed_by"] == answer["uuid"]


def test_a_posting_is_reversed_once(operator, lead):
    _bin, lot = make_full_bin(operator)
    client, key = client_of(lead), lot.filled_by.uuid
    send(client, f"postings/{key}/reversal/", reason="weighed wrongly")
    answer = send(client, f"postings/{key}/reversal/", reason="weighed wrongly")
    assert (answer.status_code, answer.json()["code"]) == (409, "already-reversed")
    assert Posting.objects.count() == 2


def test_later_postings_stand_in_the_way_of_a_reversal(operator, lead):
    _bin, lot = make_full_bin(operator)
    client, key = client_of(lead), lot.filled_by.uuid
    moved = send(client, "moves/", lot=lot.code, to_bin=BinFactory().name, mass_mg=KG).json()
    answer = send(client, f"postings/{key}/reversal/", reason="weighed wrongly")
    assert (answer.status_code, answer.json()["code"]) == (409, "later-postings")
    assert moved["number"] in answer.json()["detail"]


def test_postings_are_narrowed(api_client, operator, lead):
    _bin, lot = make_full_bin(operator)
    make_full_bin(operator)
    reversal = f"postings/{lot.filled_by.uuid}/reversal/"
    send(client_of(lead), reversal, reason="weighed wrongly")
    query = "kind=receive&by=operator-one&reversed=true&happened_from=2020-01-01T00:00:00Z"
    answer = api_client.get(f"/api/postings/?{query}").json()
    assert [row["uuid"] for row in answer["results"]] == [str(lot.filled_by.uuid)]


def test_the_list_asks_the_same_for_any_length(api_client, operator, django_assert_max_num_queries):
    for _ in range(6):
        make_full_bin(operator)
    with django_assert_max_num_queries(4):
        assert len(api_client.get("/api/postings/").json()["results"]) == 6


def test_the_answer_to_a_new_act_is_that_of_the_book(api_client, operator):
    """A new posting is told from what was written, a repeat from what is read."""
    _bin, lot = make_full_bin(operator)
    other = BinFactory()
    acts = [
        ("moves/", {"lot": lot.code, "to_bin": other.code, "mass_mg": KG}),
        (
            "moves/",
            {"lot": lot.code, "to_bin": other.code, "happened_at": "2026-03-02T08:00:00.25Z"},
        ),
        ("disposals/", {"from_bin": other.code, "mass_mg": KG, "reason": "dirty"}),
    ]
    for address, body in acts:
        first, again = repeated(api_client, address, **body)
        assert (first.status_code, first.json()) == (201, again.json())


def test_the_answer_to_a_new_reversal_is_that_of_the_book(operator, lead):
    _bin, lot = make_full_bin(operator)
    address = f"postings/{lot.filled_by.uuid}/reversal/"
    first, again = repeated(client_of(lead), address, reason="wrong bin")
    assert (first.status_code, first.json()) == (201, again.json())
