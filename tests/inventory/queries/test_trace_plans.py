"""The walks of a trace use their indexes, also when the database has counted its rows."""

import pytest
from django.db import connection
from django.db.models import Q
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from inventory.actions.lots import move_lot
from inventory.models import Lot, Posting
from inventory.queries.closures import BACK, FORWARD, lots_ahead_of
from inventory.queries.exports import BACK as BACKWARD
from inventory.queries.exports import FORWARD as ONWARD
from inventory.queries.exports import Scope, walked
from inventory.queries.known_anew import known_anew
from inventory.queries.pasts import Past, edges_back_then, edges_forward_then
from inventory.queries.postings import standing_transfers
from inventory.queries.walks import edges_ahead, edges_behind
from tests.factories.inventory import BinFactory, make_act, make_delivery
from tests.kept import kept

WALKS = pytest.mark.parametrize("walk", [BACK, FORWARD], ids=["back", "forward"])


def plan_of(walk, prefix, *, is_counted=True):
    with connection.cursor() as cursor:
        if is_counted:
            cursor.execute("ANALYZE")
        cursor.execute(f"{prefix} {walk[connection.vendor]}", [1])
        return [str(row[-1]) for row in cursor.fetchall()]


@pytest.fixture
@kept
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


@pytest.mark.skipif(connection.vendor != "sqlite", reason="the plan of SQLite")
def test_no_walk_finds_by_what_is_no_reversal_while_sqlite_has_not_counted_its_rows(counted_ledger):
    """So do the walks of past moments, of audit files and of exports; all transfers are alike in that index."""
    lot, now = Lot.objects.first(), timezone.now()
    past = Past(known_at=now, happened_at=now)
    with CaptureQueriesContext(connection) as asked:
        edges_back_then(lot, past)
        edges_forward_then(lot, past)
        edges_behind([lot.pk], known_at=now, most=9)
        edges_ahead([lot.pk], known_at=now, most=9)
        for direction in (BACKWARD, ONWARD):
            walked(Scope("a trace", about=(lot,), direction=direction), is_standing=True)
        lots_ahead_of([lot.pk])
        known_anew()
    walks = [each["sql"] for each in asked if "RECURSIVE" in each["sql"]]
    assert len(walks) == 8
    with connection.cursor() as cursor:
        for walk in walks:
            cursor.execute(f"EXPLAIN QUERY PLAN {walk}")
            steps = [row[-1] for row in cursor.fetchall() if " t " in row[-1]]
            assert steps
            assert all("INDEX transfer_" in step for step in steps), walk


@pytest.mark.skipif(connection.vendor != "sqlite", reason="the plan of SQLite")
def test_nor_does_what_stands_of_some_lots_in_the_order_of_the_book(counted_ledger):
    """As the page of a run asks it; in that index all transfers are alike, and in order."""
    keys = list(Lot.objects.values_list("pk", flat=True)[:3])
    rows = standing_transfers().filter(Q(source__in=keys) | Q(target__in=keys)).order_by("pk")
    plan = rows.explain()
    assert "INDEX transfer_forward" in plan
    assert "INDEX transfer_back" in plan
    assert "SEARCH inventory_transfer USING INDEX sqlite_autoindex" not in plan


@pytest.mark.skipif(connection.vendor != "sqlite", reason="the plan of SQLite")
def test_what_replaced_a_posting_is_found_by_an_index_of_what_replaces_any(counted_ledger):
    plan = Posting.objects.standing().filter(replaces=1).order_by("-pk").explain()
    assert "INDEX posting_replaces" in plan
