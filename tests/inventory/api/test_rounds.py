"""Rounds over the API."""

import pytest

from inventory.models import Round
from tests.factories.api import client_of, repeated, send
from tests.factories.counts import count, make_round
from tests.factories.inventory import BinFactory, make_full_bin

pytestmark = pytest.mark.django_db


@pytest.fixture
def bins(operator):
    return [
        make_full_bin(operator, bin_fields={"name": f"B-{n}", "place": "rack"})[0] for n in (1, 2)
    ]


@pytest.fixture
def walk(bins, operator):
    return make_round(operator)


def test_a_round_is_started_once(api_client, bins):
    first, second = repeated(api_client, "rounds/", place="rack")
    assert first.json() == second.json()
    assert Round.objects.get().number == first.json()["number"]


@pytest.mark.parametrize("days", [-1, 99_999, "7", 10**40])
def test_odd_days_are_refused(api_client, bins, days):
    assert "days" in send(api_client, "rounds/", days=days).json()["fields"]


def test_a_round_tells_every_stop(api_client, walk, bins, operator):
    count(bins[0], 9_700_000, operator, stop=walk.stops.first())
    answer = api_client.get(f"/api/rounds/{walk.pk}/").json()
    assert (answer["done"], answer["total"], answer["net_mg"]) == (1, 2, -300_000)
    states = [(stop["name"], stop["state"], stop["difference_mg"]) for stop in answer["stops"]]
    assert states == [("B-1", "corrected", -300_000), ("B-2", "open", None)]


def test_a_bin_is_skipped(api_client, walk, bins):
    answer = send(api_client, f"rounds/{walk.pk}/skips/", bin="B-1", reason="in use").json()
    assert (answer["bin"], answer["change"]["verb"]) == (bins[0].code, "skip")


def test_a_skip_needs_its_reason(api_client, walk):
    answer = send(api_client, f"rounds/{walk.pk}/skips/", bin="B-1")
    assert (answer.status_code, answer.json()["code"]) == (422, "reason")


def test_a_bin_off_the_route_is_refused(api_client, walk):
    BinFactory(name="B-9")
    answer = send(api_client, f"rounds/{walk.pk}/skips/", bin="B-9", reason="in use")
    assert (answer.status_code, answer.json()["code"]) == (422, "not-on-route")


def test_a_round_is_finished(api_client, walk):
    send(api_client, f"rounds/{walk.pk}/finish/", reason="closing time")
    rows = api_client.get("/api/rounds/?open=false").json()["results"]
    assert [(row["number"], row["done"]) for row in rows] == [(walk.number, 2)]


def test_a_round_that_is_none_is_not_found(api_client):
    assert send(api_client, "rounds/999999/finish/").status_code == 404
    assert api_client.get("/api/rounds/999999/").status_code == 404


def test_an_auditor_reads_rounds_and_starts_none(auditor, walk):
    client = client_of(auditor)
    assert len(client.get("/api/rounds/").json()["results"]) == 1
    assert send(client, "rounds/").status_code == 403
