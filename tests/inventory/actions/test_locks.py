"""Locks give fresh rows, in the order asked for."""

import pytest

from inventory.actions.locks import fresh, hold_still, lock_bins, lock_lots
from inventory.models import Bin
from tests.factories.inventory import BinFactory, make_delivery

pytestmark = pytest.mark.django_db


def test_locked_bins_are_fresh_and_found_by_key():
    stale = BinFactory()
    Bin.objects.update(place="yard")
    assert lock_bins(stale)[stale.pk].place == "yard"


def test_no_bin_is_no_lock():
    assert lock_bins(None) == {}


def test_lots_come_back_in_the_order_given(operator):
    first, second = make_delivery(operator).lot, make_delivery(operator).lot
    assert lock_lots(second, first) == [second, first]


def test_a_fresh_row_shows_what_another_tablet_saved():
    stale = BinFactory()
    Bin.objects.update(place="yard")
    assert fresh(stale).place == "yard"


def test_many_lots_are_locked_by_one_statement_that_reads_no_more_than_their_keys(
    operator, django_assert_num_queries
):
    keys = {make_delivery(operator).lot.pk for _each in range(3)}
    with django_assert_num_queries(1) as asked:
        hold_still(keys)
    assert "in_mg" not in asked[0]["sql"]
