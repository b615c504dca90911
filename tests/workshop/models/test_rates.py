"""Rates are about one thing, and stay."""

from datetime import date
from decimal import Decimal

import pytest
from django.db import DatabaseError, IntegrityError, transaction
from django.utils import timezone

from tests.factories.workshop import MachineFactory, ToolingFactory
from workshop.models import Rate

pytestmark = pytest.mark.django_db


def make(by, name="labour", amount=Decimal(1), **fields):
    facts = {"holds_from": date(2026, 1, 1), "happened_at": timezone.now(), "by": by}
    return Rate.objects.create(name=name, amount=amount, **facts | fields)


def test_a_rate_is_not_below_zero(lead):
    with pytest.raises(IntegrityError, match="rate_not_below_zero"):
        make(lead, amount=Decimal(-1))


@pytest.mark.parametrize(
    ("name", "of"),
    [("labour", "machine"), ("power", ""), ("power", "tooling"), ("tooling-price", "machine")],
)
def test_a_rate_names_its_thing_and_no_other(lead, name, of):
    things = {"machine": MachineFactory, "tooling": ToolingFactory}
    with pytest.raises(IntegrityError, match="rate_names_its_thing"):
        make(lead, name, **({of: things[of]()} if of else {}))


@pytest.mark.parametrize("act", ["update", "delete"])
def test_it_is_append_only(lead, act):
    rows = Rate.objects.filter(pk=make(lead).pk)
    with pytest.raises(DatabaseError, match="append-only"), transaction.atomic():
        rows.update(note="other") if act == "update" else rows.delete()
    assert rows.get().note == ""
