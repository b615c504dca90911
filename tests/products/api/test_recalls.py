"""Recalls over the API."""

import pytest

from inventory.models import Hold, Recall
from tests.factories.api import client_of, send
from tests.factories.inventory import KG, make_full_bin
from tests.factories.workshop import load, make_run, weigh_out

pytestmark = pytest.mark.django_db


@pytest.fixture
def bad(operator):
    """A bad delivery, some of it in a part."""
    _bin, lot = make_full_bin(operator)
    run = make_run(operator)
    load(run, lot, operator, 6 * KG)
    weigh_out(run, operator, "part", 3 * KG, pieces=1)
    return lot


def test_whereabouts_name_the_passport_of_a_part(api_client, bad):
    answer = api_client.get("/api/whereabouts/", {"lot": bad.code}).json()
    assert answer["total_mg"] == bad.in_mg == sum(row["mass_mg"] for row in answer["holders"])
    (part,) = [row for row in answer["holders"] if row["kind"] == "part"]
    assert part["passport"] == part["lot"]


def test_a_recall_stops_everything_and_a_repeat_changes_nothing(lead, bad):
    desk, body = client_of(lead), {"lots": [bad.code, bad.code], "reason": "smells"}
    first = send(desk, "recalls/", **body)
    again = send(desk, "recalls/", **body, uuid=first.json()["change"]["uuid"])
    assert first.status_code == 201
    assert first.json() == again.json()
    assert Hold.objects.count() == first.json()["placed"] == 3


def test_an_operator_starts_no_recall(api_client, bad):
    assert send(api_client, "recalls/", lots=[bad.code], reason="smells").status_code == 403
    assert not Recall.objects.exists()


def test_a_recall_is_lifted_with_a_reason(lead, bad):
    desk = client_of(lead)
    made = send(desk, "recalls/", lots=[bad.code], reason="smells").json()
    assert send(desk, f"recalls/{made['id']}/lift/").json()["code"] == "reason"
    assert send(desk, f"recalls/{made['id']}/lift/", reason="washed").status_code == 201
    assert desk.get(f"/api/recalls/{made['id']}/").json()["standing"] == 0


@pytest.mark.parametrize(
    "query",
    [{}, {"lot": "nothing"}, {"least_permille": "9999"}, {"lot": "", "least_permille": "x"}],
)
def test_a_look_for_nothing_is_refused(api_client, query):
    answer = api_client.get("/api/whereabouts/", query)
    assert answer.status_code == 400
    assert answer.json()["fields"]
