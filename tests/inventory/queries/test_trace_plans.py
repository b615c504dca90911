"""The walks of a trace use their indexes, also when the database has counted its rows."""

import pytest
from django.db import connection

from inventory.queries.closures import BACK, FORWARD
from tests.factories.inventory import make_delivery

WALKS = pytest.mark.parametrize("walk", [BACK, FORWARD], ids=["back", "forward"])


def plan_of(walk, prefix):
    with connection.cursor() as cursor:
        cursor.execute("ANALYZE")
        cursor.execute(f"{prefix} {walk[connection.vendor]}", [1])
        return [str(row[-1]) for row in cursor.fetchall()]


@pytest.fixture
def counted_ledger(operator):
    for _ in range(30):
        make_delivery(operator)


@WALKS
@pytest.mark.skipif(connection.vendor != "sqlite", reason="the plan of SQLite")
def test_sqlite_reads_nothing_but_the_index_of_the_walk(counted_ledger, walk):
    steps = [step for step in plan_of(walk, "EXPLAIN QUERY PLAN") if " t " in step]
    assert len(steps) == 2
    assert all(step.startswith("SEARCH t USING COVERING INDEX transfer_") for step in steps)


@WALKS
@pytest.mark.skipif(connection.vendor != "sqlite", reason="the plan of SQLite")
def test_sqlite_makes_no_bloom_filter_of_the_whole_ledger(counted_ledger, walk):
    assert "BLOOM" not in "\n".join(plan_of(walk, "EXPLAIN QUERY PLAN"))


@WALKS
@pytest.mark.skipif(connection.vendor != "postgresql", reason="the plan of PostgreSQL")
def test_postgresql_walks_by_the_index_made_for_it(counted_ledger, walk):
    """Rows of the same transaction are not yet visible to all, so the scan need not be index-only."""
    with connection.cursor() as cursor:  # thirty rows are read faster whole, a million are not
        cursor.execute("SET LOCAL enable_seqscan = off")
        cursor.execute("SET LOCAL enable_bitmapscan = off")
    plan = "\n".join(plan_of(walk, "EXPLAIN"))
    assert "Seq Scan on inventory_transfer" not in plan
    assert "Scan using transfer_" in plan
