"""Scanning."""

import pytest

from tests.factories.inventory import BinFactory

pytestmark = pytest.mark.django_db


@pytest.fixture
def bin(db):
    return BinFactory(name="B-07")


def test_a_code_in_the_address_opens_its_page(bin, floor):
    assert floor.get(f"/q/{bin.code}/").headers["Location"] == bin.get_absolute_url()


def test_a_typed_name_opens_its_page(bin, floor):
    assert floor.get("/q/", {"code": " b-07 "}).headers["Location"] == bin.get_absolute_url()


def test_a_scanned_address_opens_its_page(bin, floor):
    code = f"https://shop.example/q/{bin.code}"
    assert floor.get("/q/", {"code": code}).headers["Location"] == bin.get_absolute_url()


def test_an_unknown_code_is_kept_and_says_what_to_try(floor):
    answer = floor.get("/q/", {"code": "ABCDE-FG"})
    page = answer.content.decode()
    assert answer.status_code == 404
    assert 'value="ABCDE-FG"' in page
    assert "has 12 characters; this one has 7" in page


def test_markup_in_a_code_is_only_text(floor):
    page = floor.get("/q/", {"code": "<b>x</b>"}).content.decode()
    assert "<b>x</b>" not in page


def test_nothing_typed_asks_for_a_code(floor):
    assert floor.get("/q/").status_code == 200


def test_a_stranger_logs_in_first(bin, client):
    assert "/login/" in client.get(f"/q/{bin.code}/").headers["Location"]


def test_a_scan_asks_little(bin, floor, django_assert_max_num_queries):
    with django_assert_max_num_queries(5):
        floor.get(f"/q/{bin.code}/")
