"""Chosen settings say why, have a name, and stay."""

import pytest
from django.db import DatabaseError, transaction

from tests.factories.book import broken
from tests.factories.process_sheets import choose, make_sheet_key
from workshop.models import ChosenSetting

pytestmark = pytest.mark.django_db


@pytest.fixture
def row(lead):
    return choose(lead, make_sheet_key())


def copied(row, **changes):
    fields = {f.name: getattr(row, f.name) for f in ChosenSetting._meta.fields if f.name != "id"}
    return ChosenSetting(**fields | changes)


def test_one_says_why(row):
    with broken("chosensetting_says_why"):
        copied(row, note="").save()


def test_one_has_a_name(row):
    with broken("chosensetting_has_a_name"):
        copied(row, name="").save()


def test_it_is_neither_changed_nor_deleted(row):
    rows = ChosenSetting.objects.filter(pk=row.pk)
    for change in (lambda: rows.update(value=1), row.delete):
        with pytest.raises(DatabaseError, match="append-only"), transaction.atomic():
            change()
    assert rows.get().value == 228
