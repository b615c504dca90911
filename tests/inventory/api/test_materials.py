"""Polymers and colours over the API."""

import pytest

pytestmark = pytest.mark.django_db


def test_polymers_tell_their_mark_and_spellings(api_client):
    answer = api_client.get("/api/polymers/?search=PE-HD&ordering=symbol").json()
    row = next(row for row in answer["results"] if row["symbol"] == "PE-HD")
    assert row["mark"] == ">PE-HD<"
    assert "hdpe" in row["spellings"]


def test_a_polymer_found_by_several_spellings_is_listed_once(api_client):
    answer = api_client.get("/api/polymers/?search=pe").json()
    symbols = [row["symbol"] for row in answer["results"]]
    assert len(symbols) == len(set(symbols))


def test_rejected_polymers_are_found(api_client):
    answer = api_client.get("/api/polymers/?is_rejected=true").json()
    assert {"PVC-U", "POM"} <= {row["symbol"] for row in answer["results"]}


def test_colours_tell_their_value(api_client):
    answer = api_client.get("/api/colours/?search=blue").json()
    assert answer["results"][0]["srgb"].startswith("#")


def test_the_list_asks_the_same_for_any_length(api_client, django_assert_max_num_queries):
    with django_assert_max_num_queries(4):
        assert len(api_client.get("/api/polymers/").json()["results"]) > 15
