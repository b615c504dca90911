"""The walks of a trace use their indexes, also when the database has counted its rows."""

import pytest
from django.db import connection

from inventory.actions.lots import move_lot
from inventory.queries.closures import BACK, FORWARD
from tests.factories.inventory import BinFactory, make_act, make_delivery

WALKS = pytest.mark.parametrize("walk", [BACK, FORWARD], ids=["back", "forward"])


def plan_of(walk, prefix, *, is_counted=True):
    with connection.cursor() as cursor:
        if is_counted:
            cursor.execute("ANALYZE")
        cursor.execute(f"{prefix} {walk[connection.vendor]}", [1])
        return [str(row[-1]) for row in cursor.fetchall()]


@pytest.fixture
def counted_ledger(operator):
    for _ in range(30):
        lot = make_delivery(operator).lot
        move_lot(lot=lot, bin=BinFactory(), act=make_act(operator))


@WALKS
@pytest.mark.skipif(connection.vendor != "sqlite", reason="the plan of SQLite")
def test_sqlite_reads_nothing_but_the_index_of_the_walk(counted_ledger, walk):
    steps = [step for step in plan_of(walk, "EXPLAIN QUERY PLAN") if " t " in step]
    assert len(steps) == 2
    assert all(step.startswith("SEARCH t USING COVERING INDEX transfer_") for step in steps)


@WALKS
@pytest.mark.skipif(connection.vendor != "sqlite", reason="the plan of SQLite")
def test_sqlite_reads_nothing_but_that_index_while_it_has_not_counted_its_rows(db, walk):
    """As in a workshop, where nobody asks it to: the unique index on reversals finds all transfers."""
    plan = plan_of(walk, "EXPLAIN QUERY PLAN", is_counted=False)
    steps = [step for step in plan if " t " in step]
    assert len(steps) == 2
    assert all(step.startswith("SEARCH t USING COVERING INDEX transfer_") for step in steps)


@WALKS
@pytest.mark.skipif(connection.vendor != "sqlite", reason="the plan of SQLite")
def test_sqlite_makes_no_bloom_filter_of_the_whole_ledger(counted_ledger, walk):
    assert "BLOOM" not in "\n".join(plan_of(walk, "EXPLAIN QUERY PLAN"))


@WALKS
@pytest.mark.skipif(connection.vendor != "postgresql", reason="the plan of PostgreSQL")
def test_postgresql_never_has_to_read_the_whole_ledger(counted_ledger, walk):
    """With scans switched off PostgreSQL still scans where no index serves; so here one does.

    Which of them it takes on thirty rows depends on what other tests left in its statistics.
    """
    with connection.cursor() as cursor:
        cursor.execute("SET LOCAL enable_seqscan = off")
    plan = "\n".join(plan_of(walk, "EXPLAIN"))
    assert "Seq Scan on inventory_transfer" not in plan
    assert "Index" in plan
