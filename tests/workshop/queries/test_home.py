"""What needs a decision."""

import pytest

from tests.factories.inventory import make_delivery, make_full_bin
from workshop.queries.home import MOST_ROWS, floor_lots, unknown_lots

pytestmark = pytest.mark.django_db


def test_a_delivery_in_no_bin_waits_on_the_floor(operator):
    waiting = make_delivery(operator).lot
    make_full_bin(operator)
    assert floor_lots() == [waiting]


def test_an_unknown_delivery_is_listed_as_unknown_only(operator):
    unknown = make_delivery(operator, polymer=None, identified_by="unknown").lot
    assert unknown_lots() == [unknown]
    assert floor_lots() == []


def test_gives_one_more_than_is_shown_so_that_more_is_known(operator):
    lots = [make_delivery(operator).lot for _number in range(MOST_ROWS + 2)]
    assert floor_lots() == lots[: MOST_ROWS + 1]
