"""Rows written in one statement are the rows that Django would have written."""

from datetime import UTC, datetime
from uuid import uuid4

import pytest
from django.db import IntegrityError, transaction

from inventory.actions import rows as writing
from inventory.actions.rows import write_rows
from inventory.models import Posting, Transfer
from tests.factories.inventory import make_full_bin

pytestmark = pytest.mark.django_db
NOON = datetime(2026, 3, 1, 12, 0, 0, 123456, tzinfo=UTC)


def posting_by(operator, **facts):
    empty = {"request": {"verb": "move", "mass": None}, "fingerprint": "f", "digest": "d"}
    times = {"happened_at": NOON, "recorded_at": NOON}
    return Posting(uuid=uuid4(), kind=Posting.Kind.MOVE, by=operator, **empty, **times, **facts)


def test_a_row_is_read_as_it_was_written(operator):
    posting = posting_by(operator, reference="A > B", reason="because")
    write_rows([posting])
    read = Posting.objects.get(pk=posting.pk)
    assert all(
        getattr(read, field.attname) == getattr(posting, field.attname)
        for field in Posting._meta.concrete_fields
    )


def test_each_row_gets_its_own_key_and_counts_as_saved(operator, monkeypatch):
    monkeypatch.setattr(writing, "AT_ONCE", 2)
    made = [posting_by(operator, reference=str(number)) for number in range(5)]
    write_rows(made)
    assert {row.pk: row.reference for row in made} == dict(
        Posting.objects.filter(digest="d").values_list("pk", "reference")
    )
    assert not any(row._state.adding for row in made)


def test_no_rows_ask_nothing(django_assert_num_queries):
    with django_assert_num_queries(0):
        write_rows([])


def test_the_database_still_refuses_what_breaks_a_constraint(operator):
    _bin, lot = make_full_bin(operator)
    row = Transfer(posting=Posting.objects.first(), source=lot, mass_mg=0, role="moved")
    with pytest.raises(IntegrityError, match="transfer_has_mass"), transaction.atomic():
        write_rows([row])
    assert row.pk is None
