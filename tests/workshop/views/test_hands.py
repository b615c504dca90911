"""The hand that a tablet is laid out for."""

import pytest
from django.urls import reverse

pytestmark = pytest.mark.django_db

HAND = reverse("hand")


def test_a_tablet_is_laid_out_for_the_right_hand_at_first(floor):
    assert 'data-hand="left"' not in floor.get("/").content.decode()


def test_the_left_hand_is_kept_on_the_tablet(floor):
    bins = "http://testserver/bins/"
    answer = floor.post(HAND, {"hand": "left"}, headers={"Referer": bins})
    assert answer.headers["Location"] == bins
    assert 'data-hand="left"' in floor.get("/bins/").content.decode()


def test_the_right_hand_is_chosen_again(floor):
    floor.post(HAND, {"hand": "left"})
    floor.post(HAND, {"hand": "right"})
    assert 'data-hand="left"' not in floor.get("/").content.decode()


@pytest.mark.parametrize("address", ["https://elsewhere.test/", "//elsewhere.test", "javascript:x"])
def test_nobody_is_sent_elsewhere(floor, address):
    answer = floor.post(HAND, {"hand": "left"}, headers={"Referer": address})
    assert answer.headers["Location"] == "/"


def test_a_hand_that_is_none_changes_nothing(floor):
    floor.post(HAND, {"hand": "foot"})
    assert "hand" not in floor.cookies


def test_the_hand_is_not_chosen_by_opening_an_address(floor):
    assert floor.get(HAND).status_code == 405
