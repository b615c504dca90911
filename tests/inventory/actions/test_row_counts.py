"""SQLite counts its rows with a checkpoint, as soon as there are enough of them to tell something."""

from uuid import uuid4

import pytest
from django.core.management import call_command
from django.db import connection

from inventory.actions import row_counts
from inventory.actions.checkpoints import make_checkpoint
from inventory.actions.postings import reverse_posting
from inventory.actions.row_counts import count_rows, postings_counted
from inventory.models import Posting
from tests.factories.inventory import make_act, make_delivery

pytestmark = pytest.mark.django_db


def counted() -> set[str]:
    """The tables of which SQLite knows how many rows they have."""
    with connection.cursor() as cursor:
        cursor.execute("SELECT name FROM sqlite_schema WHERE name = 'sqlite_stat1'")
        if not cursor.fetchone():
            return set()
        cursor.execute("SELECT DISTINCT tbl FROM sqlite_stat1")
        return {table for (table,) in cursor.fetchall()}


@pytest.mark.skipif(connection.vendor != "sqlite", reason="the planner of SQLite")
def test_a_checkpoint_counts_the_rows_once_there_are_enough(operator, monkeypatch):
    for _ in range(3):
        make_delivery(operator)
    monkeypatch.setattr(row_counts, "ENOUGH", Posting.objects.count() + 1)
    make_checkpoint(key=uuid4())
    assert "inventory_transfer" not in counted()
    make_delivery(operator)
    make_checkpoint(key=uuid4())
    assert {"inventory_transfer", "inventory_posting", "inventory_lot"} <= counted()


@pytest.mark.skipif(connection.vendor != "sqlite", reason="the planner of SQLite")
def test_they_are_counted_again_when_the_book_has_grown_by_a_quarter(operator, monkeypatch):
    """Every audit file makes a checkpoint, and to count a large book takes seconds."""
    monkeypatch.setattr(row_counts, "ENOUGH", 1)
    for _ in range(7):
        taken = make_delivery(operator)
    reverse_posting(posting=taken.lot.taken.get().posting, act=make_act(operator, "not ours"))
    assert count_rows()
    make_delivery(operator)
    assert not count_rows()
    make_delivery(operator)
    assert count_rows()
    assert postings_counted() == 10


@pytest.mark.skipif(connection.vendor != "sqlite", reason="the planner of SQLite")
def test_rows_are_counted_anew_after_a_migration(operator, monkeypatch):
    """One that remakes a table takes the count with it, and a list of lots sorts all of them to show 25."""
    make_delivery(operator)
    monkeypatch.setattr(row_counts, "ENOUGH", 1)
    count_rows()
    with connection.cursor() as cursor:
        cursor.execute("DELETE FROM sqlite_stat1 WHERE tbl = 'inventory_lot'")
    assert "inventory_lot" not in counted()
    call_command("migrate", verbosity=0)
    assert "inventory_lot" in counted()


@pytest.mark.skipif(connection.vendor == "sqlite", reason="it counts by itself")
def test_postgresql_is_left_to_count_by_itself(operator, monkeypatch):
    make_delivery(operator)
    monkeypatch.setattr(row_counts, "ENOUGH", 1)
    assert not count_rows()
