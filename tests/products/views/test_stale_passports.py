"""Where staff see that a passport is out of date, on pages and over the API."""

import pytest
from django.urls import reverse

from tests.factories.api import client_of
from tests.factories.corrections import came_from
from tests.factories.inventory import KG, make_full_bin
from tests.factories.workshop import make_part
from tests.kept import kept

pytestmark = pytest.mark.django_db
LIST = reverse("products:passport-stale")


@pytest.fixture
@kept
def part(operator):
    return make_part(operator, make_full_bin(operator)[1], 2 * KG)


@pytest.fixture
def stale(part, operator):
    """The part, after a correction says that it is made of virgin plastic."""
    virgin = make_full_bin(operator, origin_class="virgin")[1]
    came_from(part.made_in.transfers.get().source.taken.get(), virgin, operator)
    return part


def test_the_list_is_empty_while_every_passport_holds(part, desk):
    assert "Every passport says what the book says" in desk.get(LIST).content.decode()


def test_a_stale_passport_stands_in_the_list_with_what_to_do(stale, desk):
    page = desk.get(LIST).content.decode()
    assert stale.get_absolute_url() in page
    assert reverse("products:passport-issue", args=[stale.code]) in page


def test_an_auditor_reads_the_list_and_is_offered_nothing(stale, reader):
    page = reader.get(LIST).content.decode()
    assert stale.get_absolute_url() in page
    assert reverse("products:passport-issue", args=[stale.code]) not in page


def test_the_page_of_the_part_says_it(stale, floor):
    page = floor.get(stale.get_absolute_url()).content.decode()
    assert "It is out of date" in page
    assert "origin" in page


def test_the_page_of_a_part_that_holds_does_not(part, floor):
    assert "It is out of date" not in floor.get(part.get_absolute_url()).content.decode()


def test_the_api_tells_the_same(stale, auditor):
    (row,) = client_of(auditor).get("/api/passports/stale/").json()["results"]
    assert (row["part"], row["version"]) == (stale.code, 1)
    assert "origin" in row["changed"]
