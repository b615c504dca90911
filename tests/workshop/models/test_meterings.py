"""What meters showed is not below zero, and stays."""

from decimal import Decimal
from uuid import uuid4

import pytest
from django.db import DatabaseError, transaction

from tests.factories.book import broken
from tests.factories.making import at, make_old_run
from workshop.models import Metering

pytestmark = pytest.mark.django_db


def make(by, kwh=Decimal(1)):
    moment = {"happened_at": at(0), "recorded_at": at(0), "by": by, "uuid": uuid4()}
    return Metering.objects.create(run=make_old_run(by), what="used", kwh=kwh, **moment)


def test_no_meter_shows_less_than_nothing(operator):
    with broken("metering_not_below_zero"):
        make(operator, Decimal("-0.001"))


@pytest.mark.parametrize("act", ["update", "delete"])
def test_it_is_append_only(operator, act):
    rows = Metering.objects.filter(pk=make(operator).pk)
    with pytest.raises(DatabaseError, match="append-only"), transaction.atomic():
        rows.update(kwh=9) if act == "update" else rows.delete()
    assert rows.get().kwh == 1
