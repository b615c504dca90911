"""Meters and the cost of runs over the API."""

import pytest

from tests.factories.api import repeated, send
from tests.factories.costs import put_price, put_rate, set_euro
from tests.factories.inventory import KG, make_full_bin
from tests.factories.making import make_old_run
from tests.factories.workshop import load, make_run, weigh_out

pytestmark = pytest.mark.django_db


def test_a_meter_is_noted_and_listed(api_client, operator):
    run = make_old_run(operator)
    address = f"runs/{run.code}/meterings/"
    first, again = repeated(api_client, address, what="start", kwh="10.5")
    assert (first.status_code, first.json()) == (201, again.json())
    refusal = send(api_client, address, what="end", kwh="10")
    assert (refusal.status_code, refusal.json()["code"]) == (422, "meter-below")
    assert [row["kwh"] for row in api_client.get(f"/api/{address}").json()["results"]] == ["10.500"]


def test_the_cost_of_a_run_is_text_with_what_is_unknown(api_client, lead):
    set_euro(lead)
    put_rate(lead, "labour", 18)
    _bin, lot = make_full_bin(lead)
    put_price(lead, lot, "0.5")
    run = make_old_run(lead)
    load(run, lot, lead, 2 * KG)
    weigh_out(run, lead, "part", 2 * KG, pieces=3)
    found = api_client.get(f"/api/runs/{run.code}/costs/").json()
    cost = found["cost"]
    assert (cost["currency"], cost["unknown"], cost["is_least"]) == ("EUR", ["energy"], True)
    assert cost["lines"][0] == {"kind": "material", "amount": "1.00", "is_least": False}
    assert (cost["known_share"], found["energy"]["kwh"]) == ("1.000000", None)
    assert (found["time"]["basis"], found["day"]) == ("opened", "2026-03-02")


def test_without_a_currency_every_amount_is_null(api_client, operator):
    found = api_client.get(f"/api/runs/{make_run(operator).code}/costs/").json()
    assert found["cost"]["total"] is None
    assert {line["amount"] for line in found["cost"]["lines"]} == {None}
