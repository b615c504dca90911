"""The address in codes over the API."""

import pytest

from products.models import PrintedAddress
from tests.factories.api import client_of, send

pytestmark = pytest.mark.django_db


def test_the_lead_moves_the_address(lead, api_client, settings):
    answer = send(client_of(lead), "printed-addresses/", site_url=settings.SITE_URL, reason="first")
    assert (answer.status_code, answer.json()["site_url"]) == (201, settings.SITE_URL)
    listed = api_client.get("/api/printed-addresses/").json()["results"]
    assert [row["reason"] for row in listed] == ["first"]


def test_an_address_that_is_not_set_is_refused(lead):
    body = {"site_url": "https://third.example", "reason": "moved"}
    answer = send(client_of(lead), "printed-addresses/", **body)
    assert (answer.status_code, answer.json()["code"]) == (422, "address-unset")
    assert not PrintedAddress.objects.exists()


def test_an_operator_moves_nothing(api_client, settings):
    body = {"site_url": settings.SITE_URL, "reason": "first"}
    assert send(api_client, "printed-addresses/", **body).status_code == 403
