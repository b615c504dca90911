"""Which address codes carry."""

import pytest

from products.queries.addresses import differing_address, is_address, printed_address

pytestmark = pytest.mark.django_db


def test_before_the_first_print_the_set_address_counts(settings):
    settings.SITE_URL = "https://shop.example/"
    assert printed_address() == "https://shop.example"
    assert differing_address() is None


@pytest.mark.parametrize("url", ["http://localhost:8000", "https://shop.example/record"])
def test_a_site_can_stand_in_a_code(url):
    assert is_address(url)


@pytest.mark.parametrize(
    "url", ["", "shop.example", "ftp://shop.example", "https://shop.example?x=1", "http://[x"]
)
def test_what_is_no_site_cannot(url):
    assert not is_address(url)
