"""Checkpoints are kept by the database: no row of them is changed or taken away."""

from uuid import uuid4

import pytest
from django.db import DatabaseError, connection, transaction
from django.utils import timezone

from inventory.models import Branch, Checkpoint, Leaf
from tests.factories.book import broken

pytestmark = pytest.mark.django_db

TABLES = ("inventory_leaf", "inventory_branch", "inventory_checkpoint")
ROOT = "0" * 64


@pytest.fixture
def rows():
    Leaf.objects.create(number=0, uuid=uuid4(), kind="posting", hash=ROOT)
    Branch.objects.create(number=0, root=ROOT)
    moment = {"made_at": timezone.now(), "last_posting": 1, "last_change": 1}
    return Checkpoint.objects.create(uuid=uuid4(), size=1, root=ROOT, **moment)


def refused(statement):
    with (
        pytest.raises(DatabaseError, match="append-only"),
        transaction.atomic(),
        connection.cursor() as cursor,
    ):
        cursor.execute(statement)


@pytest.mark.parametrize("table", TABLES)
def test_no_row_is_changed(rows, table):
    refused(f"UPDATE {table} SET id = id + 1")  # noqa: S608


@pytest.mark.parametrize("table", TABLES)
def test_no_row_is_taken_away(rows, table):
    refused(f"DELETE FROM {table}")  # noqa: S608


@pytest.mark.parametrize("table", TABLES)
def test_no_row_is_replaced(rows, table):
    sqlite = f"INSERT OR REPLACE INTO {table} SELECT * FROM {table}"  # noqa: S608
    if connection.vendor != "sqlite":
        connection.check_constraints()  # or PostgreSQL refuses for checks that are still to come
    refused(sqlite if connection.vendor == "sqlite" else f"TRUNCATE {table} CASCADE")


def test_a_checkpoint_is_called_by_its_number(rows):
    assert str(rows) == f"C-{rows.pk:04d}"


def test_an_entry_has_one_place(rows):
    leaf = Leaf.objects.get()
    with broken("leaf_once_for_each_entry", "inventory_leaf.uuid, inventory_leaf.kind"):
        Leaf.objects.create(number=1, uuid=leaf.uuid, kind=leaf.kind, hash=ROOT)
