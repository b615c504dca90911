"""The page on which the lead moves the address in codes."""

import pytest
from django.urls import reverse

from products.actions.addresses import move_address
from products.models import PrintedAddress
from tests.factories.inventory import make_act

pytestmark = pytest.mark.django_db
MOVE = reverse("products:address-move")
NEW = "https://new.example"


@pytest.fixture
def frozen(lead, settings):
    row = move_address(site_url=settings.SITE_URL, act=make_act(lead, "first"))
    settings.SITE_URL = NEW
    return row


def test_the_page_says_what_becomes_of_codes_printed_before(frozen, desk):
    page = desk.get(MOVE).content.decode()
    assert frozen.site_url in page
    assert "only while the old address still leads here" in page


def test_the_lead_moves_the_address(frozen, desk, key):
    answer = desk.post(MOVE, {"key": key, "site_url": NEW, "reason": "a name of our own"})
    assert answer.url == reverse("products:label-list")
    assert PrintedAddress.objects.first().site_url == NEW


def test_an_address_that_is_not_set_is_refused(frozen, desk, key):
    answer = desk.post(MOVE, {"key": key, "site_url": "https://third.example", "reason": "x"})
    assert answer.status_code == 422
    assert PrintedAddress.objects.get() == frozen


@pytest.mark.parametrize("who", ["floor", "reader"])
def test_only_the_lead_moves_it(request, who, key):
    client = request.getfixturevalue(who)
    assert client.post(MOVE, {"key": key, "site_url": NEW, "reason": "x"}).status_code == 403
