"""A process sheet of another workshop stays as it came."""

import pytest
from django.db import DatabaseError, transaction
from django.utils import timezone

from products.models import ForeignSheet
from tests.factories.inventory import polymer
from tests.factories.workshop import DesignFactory

pytestmark = pytest.mark.django_db


def kept(**changes) -> ForeignSheet:
    fields = {"design": DesignFactory(), "polymer": polymer("PP"), "machine_kind": "press"}
    fields |= {"settings": [], "happened_at": timezone.now()}
    return ForeignSheet.objects.create(**fields | changes)


def test_it_is_neither_changed_nor_deleted_nor_replaced():
    sheet = kept()
    rows = ForeignSheet.objects.filter(pk=sheet.pk)
    for change in (lambda: rows.update(runs=9), sheet.delete, lambda: kept(pk=sheet.pk)):
        with pytest.raises(DatabaseError, match="append-only|nique"), transaction.atomic():
            change()
    assert rows.get().runs == 0


def test_it_says_of_what_it_is():
    assert str(kept(design=DesignFactory(name="Tile"))) == "Tile: PP, press"
