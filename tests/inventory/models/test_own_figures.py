"""Own figures say why, are in order, and stay."""

from decimal import Decimal

import pytest
from django.db import DatabaseError, IntegrityError, transaction
from django.utils import timezone

from inventory.models import OwnFigure
from tests.factories.inventory import polymer

pytestmark = pytest.mark.django_db


def make(by, **fields):
    given = {"low": Decimal(1), "high": Decimal(2), "note": "measured"} | fields
    return OwnFigure.objects.create(
        polymer=polymer("PP"), name="press-platen", happened_at=timezone.now(), by=by, **given
    )


def test_one_says_why(lead):
    with pytest.raises(IntegrityError, match="ownfigure_says_why"):
        make(lead, note="")


@pytest.mark.parametrize(
    "ends",
    [
        {"low": Decimal(3), "high": Decimal(2)},
        {"low": Decimal(3), "typical": Decimal(2), "high": None},
        {"low": None, "typical": Decimal(3), "high": Decimal(2)},
    ],
)
def test_its_values_are_in_order(lead, ends):
    with pytest.raises(IntegrityError, match="ownfigure_in_order"):
        make(lead, **ends)


@pytest.mark.parametrize("act", ["update", "delete"])
def test_it_is_append_only(lead, act):
    row = make(lead)
    rows = OwnFigure.objects.filter(pk=row.pk)
    with pytest.raises(DatabaseError, match="append-only"), transaction.atomic():
        rows.update(note="other") if act == "update" else rows.delete()
    assert OwnFigure.objects.get().note == "measured"
