"""What a trace costs against the transfers behind a lot, and against the size of the ledger.

Beside it stand the sweep alone over edges in memory, networkx over a graph that is built,
and the plain recursive SQL that carries shares. Ratios tell more than times: a machine
that is busy slows them all.
"""

from django.core.cache import cache
from django.db import connection

from inventory.calculations.traces import origin_shares
from inventory.models import Transfer
from inventory.queries.closures import ancestor_edges
from inventory.queries.traces import origins_of
from tests.benchmarks.plain_sql import shares_by_path
from tests.benchmarks.timing import load, timed
from tests.benchmarks.traces import graph_of, lots_back, networkx_back


def run(say) -> list[list[str]]:
    """Return a row for each of the chosen lots of this ledger."""
    ledger = Transfer.objects.count()
    rows = []
    for size, lot in lots_back():
        rows.append([f"{ledger:,}", f"{size:,}", *cells_of(size, lot)])
        say(f"  {connection.vendor}: closure of {size:,} traced")
    return rows


def cells_of(size: int, lot) -> list[str]:
    """Return what a trace costs, and the same asked otherwise."""
    whole = timed(lambda: origins_of(lot)[:50], before=cache.clear)
    edges = ancestor_edges(lot)
    graph, shares = graph_of(edges), origin_shares(lot.pk, edges)
    sweep = timed(lambda: origin_shares(lot.pk, edges))
    library = timed(lambda: networkx_back(graph, lot.pk), times=5)
    others, plain_ms = shares_by_path(lot.pk)
    if others is not None:
        assert others.keys() == shares.keys(), "plain SQL finds other origins"
        assert all(abs(others[pk] - shares[pk]) < 1e-9 for pk in shares), "plain SQL disagrees"
    more = "" if others is not None else "> "
    return [
        f"{whole.median:.1f}",
        f"{whole.best:.1f}",
        f"{whole.median * 1000 / max(size, 1):.1f}",
        f"{sweep.median:.1f}",
        f"{library.median:.1f}",
        f"{more}{plain_ms:,.0f}",
        f"{whole.median / sweep.median:.1f}",
        f"{library.median / whole.median:.1f}",
        f"{more}{plain_ms / whole.median:,.1f}",
        load(),
    ]
