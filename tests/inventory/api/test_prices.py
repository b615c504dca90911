"""Currencies and prices over the API."""

import pytest

from tests.factories.api import client_of, repeated, send
from tests.factories.costs import set_euro
from tests.factories.inventory import make_delivery

pytestmark = pytest.mark.django_db


def test_the_lead_sets_a_currency(lead, api_client):
    body = {"code": "EUR", "holds_from": "2026-01-01"}
    first, again = repeated(client_of(lead), "currencies/", **body)
    assert first.json() == again.json()
    assert api_client.get("/api/currencies/").json()["results"][0]["holds_from"] == "2026-01-01"
    assert send(api_client, "currencies/", **body).status_code == 403


def test_the_lead_sets_a_price(lead, api_client):
    set_euro(lead)
    delivery = make_delivery(lead)
    address = f"deliveries/{delivery.code}/prices/"
    first, again = repeated(client_of(lead), address, per_kg="0.4")
    told = first.json()
    assert (told["per_kg"], told["currency"], told) == ("0.40", "EUR", again.json())
    assert len(api_client.get(f"/api/{address}").json()["results"]) == 1
    assert send(api_client, address, per_kg="0.4").status_code == 403


def test_a_price_without_a_currency_is_refused(lead):
    address = f"deliveries/{make_delivery(lead).code}/prices/"
    assert send(client_of(lead), address, per_kg="0.4").json()["code"] == "no-currency"
