"""Rates over the API."""

import pytest

from tests.factories.api import client_of, repeated, send
from tests.factories.costs import put_rate, set_euro
from tests.factories.workshop import MachineFactory

pytestmark = pytest.mark.django_db
BODY = {"name": "power", "amount": "4000", "holds_from": "2026-01-01"}


def test_the_lead_sets_a_rate_and_a_repeat_is_answered_alike(lead):
    MachineFactory(name="Press A")
    first, again = repeated(client_of(lead), "rates/", **BODY, machine="Press A")
    assert (first.status_code, first.json()) == (201, again.json())
    told = first.json()
    assert (told["machine"], told["amount"], told["unit"]) == ("Press A", "4000", "W")


def test_everybody_reads_them(lead, api_client):
    set_euro(lead)
    put_rate(lead, "labour", 18)
    (row,) = api_client.get("/api/rates/", {"name": "labour"}).json()["results"]
    assert (row["unit"], row["machine"]) == ("EUR/h", None)


def test_an_operator_sets_none(api_client):
    MachineFactory(name="Press A")
    assert send(api_client, "rates/", **BODY, machine="Press A").status_code == 403


@pytest.mark.parametrize(
    ("changes", "code"), [({"amount": "-1"}, "absurd"), ({"name": "labour"}, "wrong-thing")]
)
def test_refusals_have_their_codes(lead, changes, code):
    MachineFactory(name="Press A")
    answer = send(client_of(lead), "rates/", **(BODY | {"machine": "Press A"} | changes))
    assert (answer.status_code, answer.json()["code"]) == (422, code)
