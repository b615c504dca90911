"""The lead says in what money is counted and what deliveries cost."""

from datetime import date
from decimal import Decimal

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from inventory.actions.deliveries import receive_delivery, refuse_delivery
from inventory.models import Change, Delivery, Price
from inventory.queries.prices import currency_on, paid_for, price_of
from tests.factories.book import refused
from tests.factories.costs import put_price, set_euro
from tests.factories.inventory import make_act, make_delivery, make_receipt

pytestmark = pytest.mark.django_db


def test_a_currency_holds_from_its_day(lead):
    set_euro(lead, date(2026, 1, 1), "bgn")
    set_euro(lead, date(2026, 7, 1), "EUR")
    days = [date(2025, 12, 31), date(2026, 6, 30), date(2026, 7, 1)]
    assert [currency_on(day) for day in days] == ["", "BGN", "EUR"]
    assert Change.objects.filter(verb="set currency").count() == 2


@pytest.mark.parametrize("code", ["EURO", "XXX", "€", "ZZZ"])
def test_refuses_what_is_no_currency(lead, code):
    with refused("unknown-currency"):
        set_euro(lead, code=code)


def test_refuses_a_currency_of_a_day_that_cannot_be(lead):
    with refused("day"):
        set_euro(lead, date(1999, 12, 31))


def test_the_newest_price_holds_and_the_older_stays(lead):
    set_euro(lead)
    delivery = make_delivery(lead)
    put_price(lead, delivery, "0.40")
    newest = put_price(lead, delivery, "0.45")
    assert price_of(delivery) == newest
    assert paid_for([delivery.lot_id]) == {delivery.lot_id: (Decimal("0.45"), "EUR")}
    assert Price.objects.count() == 2


def test_zero_is_a_price_and_none_takes_it_back(lead):
    set_euro(lead)
    free, unknown, never = make_delivery(lead), make_delivery(lead), make_delivery(lead)
    put_price(lead, free, 0)
    put_price(lead, unknown, 1)
    put_price(lead, unknown, None)
    found = paid_for([free.lot_id, unknown.lot_id, never.lot_id])
    assert found == {free.lot_id: (0, "EUR")}


def test_a_price_is_in_the_currency_of_the_day_of_the_delivery(lead):
    set_euro(lead, date(2026, 1, 1), "BGN")
    set_euro(lead, date(2026, 7, 1), "EUR")
    row = put_price(lead, make_delivery(lead, delivered_on=date(2026, 3, 1)), "0.5")
    assert row.currency == "BGN"


def test_prices_of_many_deliveries_take_one_query(lead):
    set_euro(lead)
    lots = [make_delivery(lead).lot_id for _ in range(5)]
    with CaptureQueriesContext(
        connection,
    ) as asked:
        paid_for(lots)
    assert len(asked) == 1


def test_refuses_a_price_without_a_currency(lead):
    delivery = make_delivery(lead)
    with refused("no-currency"):
        put_price(lead, delivery, 1)


@pytest.mark.parametrize("per_kg", ["-0.01", "1000000001"])
def test_refuses_a_price_that_cannot_be(lead, per_kg):
    set_euro(lead)
    delivery = make_delivery(lead)
    with refused("absurd"):
        put_price(lead, delivery, per_kg)


def test_refuses_a_price_of_what_was_turned_away(lead):
    set_euro(lead)
    delivery = refuse_delivery(receipt=make_receipt(), act=make_act(lead, "wet"))
    with refused("refused-delivery"):
        put_price(lead, delivery, 1)


def test_a_repeat_sets_no_second_price(lead):
    set_euro(lead)
    delivery, act = make_delivery(lead), make_act(lead)
    assert put_price(lead, delivery, 1, act) == put_price(lead, delivery, 1, act)
    with refused("key-reused"):
        put_price(lead, delivery, 2, act)


def test_a_price_comes_with_the_receipt(operator, lead):
    set_euro(lead)
    act, receipt = make_act(operator), make_receipt()
    delivery = receive_delivery(receipt=receipt, act=act, per_kg=Decimal("0.3"))
    assert receive_delivery(receipt=receipt, act=act, per_kg=Decimal("0.3")) == delivery
    assert (Price.objects.get().per_kg, Price.objects.get().by) == (Decimal("0.3"), operator)


def test_a_receipt_with_a_price_that_is_refused_writes_nothing(operator):
    receipt, act = make_receipt(), make_act(operator)
    with refused("no-currency"):
        receive_delivery(receipt=receipt, act=act, per_kg=Decimal(1))
    assert not Delivery.objects.exists()
