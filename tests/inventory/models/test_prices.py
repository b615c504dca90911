"""Prices and currencies say what they are in, and stay."""

from datetime import date
from decimal import Decimal

import pytest
from django.db import DatabaseError, IntegrityError, transaction
from django.utils import timezone

from inventory.models import Currency, Price
from tests.factories.inventory import make_delivery

pytestmark = pytest.mark.django_db


def make_price(by, **fields):
    given = {"per_kg": Decimal(1), "currency": "EUR"} | fields
    delivery = make_delivery(by)
    return Price.objects.create(delivery=delivery, happened_at=timezone.now(), by=by, **given)


def make_currency(by, code="EUR"):
    facts = {"holds_from": date(2026, 1, 1), "happened_at": timezone.now(), "by": by}
    return Currency.objects.create(code=code, **facts)


def test_a_price_is_not_below_zero(lead):
    with pytest.raises(IntegrityError, match="price_not_below_zero"):
        make_price(lead, per_kg=Decimal(-1))


@pytest.mark.parametrize("fields", [{"currency": ""}, {"per_kg": None}])
def test_an_amount_has_a_currency_and_nothing_has_none(lead, fields):
    with pytest.raises(IntegrityError, match="price_in_a_currency"):
        make_price(lead, **fields)


def test_a_currency_has_a_code(lead):
    with pytest.raises(IntegrityError, match="currency_has_a_code"):
        make_currency(lead, "")


@pytest.mark.parametrize("make", [make_price, make_currency])
@pytest.mark.parametrize("act", ["update", "delete"])
def test_they_are_append_only(lead, make, act):
    row = make(lead)
    rows = type(row).objects.filter(pk=row.pk)
    with pytest.raises(DatabaseError, match="append-only"), transaction.atomic():
        rows.update(note="other") if act == "update" else rows.delete()
    assert rows.get().note == ""
