"""What is said at start-up of the address in printed codes."""

import pytest

from products.actions.addresses import move_address
from products.checks import site_url_is_an_address, site_url_is_the_printed_one
from tests.factories.inventory import make_act


def codes(found):
    return [each.id for each in found]


def test_a_site_url_that_is_none_is_an_error(settings):
    settings.SITE_URL = "shop"
    assert codes(site_url_is_an_address(None)) == ["products.E001"]


def test_a_site_url_passes(settings):
    settings.SITE_URL = "https://shop.example"
    assert site_url_is_an_address(None) == []


@pytest.mark.django_db
def test_another_address_than_the_printed_one_is_a_warning(lead, settings):
    move_address(site_url=settings.SITE_URL, act=make_act(lead, "first"))
    settings.SITE_URL = "https://other.example"
    assert codes(site_url_is_the_printed_one(None, ["default"])) == ["products.W001"]


@pytest.mark.django_db
def test_the_printed_address_passes(lead, settings):
    move_address(site_url=settings.SITE_URL, act=make_act(lead, "first"))
    assert site_url_is_the_printed_one(None, ["default"]) == []
