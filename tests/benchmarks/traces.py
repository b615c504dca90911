"""Trace back and forward: the whole call, the query, the sweep, and others doing the same.

The lots are a fixed set with closures of varied sizes. What the program remembers of an
earlier trace is forgotten before each call. Beside it stand the plain walk with the same
sweep, the sweep alone over edges that are already in memory, and networkx (ancestors, then
a sweep in its own topological order) over a graph that is already built.

Then lots that nobody chose by their size are each asked once: drawn evenly from all lots and
from all deliveries, and what is in the bins.
"""

import gc
from collections import defaultdict
from functools import partial
from statistics import median

import networkx as nx
from django.core.cache import cache
from django.db import connection

from inventory.calculations.traces import origin_shares
from inventory.calculations.traces import uses as swept_forward
from inventory.models import Delivery, Lot
from inventory.queries.closures import ancestor_edges, descendant_edges
from inventory.queries.traces import origins_of, uses_of
from tests.benchmarks.plain_sql import plain_walk
from tests.benchmarks.tables import below, table
from tests.benchmarks.timing import load, p95, timed

WANTED = (10, 30, 100, 1_000, 5_000, 12_500, 25_000, 40_000)
JUDGED = 25_000
CANDIDATES = 60
DRAWN = 100
HOLD_MS = 100
OUTSIDE = 0
HEAD = (
    "closure",
    "lots",
    "ends",
    "median ms",
    "p95",
    "best",
    "query",
    "plain walk",
    "sweep",
    "in memory",
    "networkx",
    "plain / call",
    "call / memory",
    "networkx / call",
    "load",
)


def nearest(sizes: dict[int, Lot]) -> list[tuple[int, Lot]]:
    """Return the lots whose closures come nearest to the wanted sizes, smallest first."""
    if not sizes:
        return []
    chosen = {min(sizes, key=lambda size, want=want: abs(size - want)) for want in WANTED}
    return [(size, sizes[size]) for size in sorted(chosen)]


def spread(keys: list[int], count: int) -> list[int]:
    """Return so many keys at even distances, the last included."""
    step = max(1, len(keys) // count)
    return keys[::-1][::step]


def lots_back() -> list[tuple[int, Lot]]:
    """Return lots by the number of transfers behind them."""
    fills = Lot.objects.filter(kind=Lot.Kind.FILL).order_by("pk")
    open_fills = list(fills.open().values_list("pk", flat=True))
    keys = {*open_fills, *spread(list(fills.values_list("pk", flat=True)), CANDIDATES)}
    lots = Lot.objects.in_bulk(sorted(keys)).values()
    return nearest({len(ancestor_edges(lot)): lot for lot in lots})


def lots_forward() -> list[tuple[int, Lot]]:
    """Return deliveries by the number of transfers ahead of them."""
    keys = spread(list(Delivery.objects.order_by("pk").values_list("lot", flat=True)), CANDIDATES)
    lots = Lot.objects.in_bulk(sorted(keys)).values()
    return nearest({len(descendant_edges(lot)[0]): lot for lot in lots})


def graph_of(edges) -> nx.DiGraph:
    """Return edges as a graph of networkx, masses between the same two lots summed."""
    masses = defaultdict(int)
    for source, target, mass_mg, *_rest in edges:
        masses[source or OUTSIDE, target or OUTSIDE] += mass_mg
    graph = nx.DiGraph()
    graph.add_weighted_edges_from((*ends, mass_mg) for ends, mass_mg in masses.items())
    return graph


def networkx_back(graph: nx.DiGraph, target: int) -> dict[int, float]:
    """Return the origin shares of a lot, found with networkx."""
    behind = graph.subgraph(nx.ancestors(graph, target) | {target})
    in_mg = dict(behind.in_degree(weight="weight"))
    shares = defaultdict(float, {target: 1.0})
    origins = {}
    for lot in reversed(list(nx.topological_sort(behind))):
        for source, _, mass_mg in behind.in_edges(lot, data="weight"):
            if source == OUTSIDE:
                origins[lot] = shares[lot] * mass_mg / in_mg[lot]
            else:
                shares[source] += shares[lot] * mass_mg / in_mg[lot]
    return origins


def networkx_forward(graph: nx.DiGraph, origin: int, in_mg: dict[int, int]) -> dict[int, float]:
    """Return the mg of a lot that each lot got, the outside left out, found with networkx."""
    ahead = graph.subgraph((nx.descendants(graph, origin) | {origin}) - {OUTSIDE})
    amounts = defaultdict(float, {origin: float(in_mg[origin])})
    for lot in nx.topological_sort(ahead):
        for _, target, mass_mg in ahead.out_edges(lot, data="weight"):
            amounts[target] += amounts[lot] * mass_mg / in_mg[lot]
    return amounts


def measure_back(size: int, lot: Lot) -> tuple[list, float]:
    """Return the row of a trace back and its median in ms."""
    edges = ancestor_edges(lot)
    graph = graph_of(edges)
    shares, others = origin_shares(lot.pk, edges), networkx_back(graph, lot.pk)
    assert all(abs(shares[pk] - others[pk]) < 1e-9 for pk in shares), "networkx disagrees"
    plainly = origin_shares(lot.pk, plain_walk(lot.pk, near="target", far="source")[0])
    assert plainly.keys() == shares.keys(), "the plain walk disagrees"
    calls = (
        lambda: origins_of(lot)[:50],
        lambda: ancestor_edges(lot),
        lambda: origin_shares(lot.pk, plain_walk(lot.pk, near="target", far="source")[0]),
        lambda: origin_shares(lot.pk, edges),
        lambda: networkx_back(graph, lot.pk),
    )
    lots = len({edge[1] for edge in edges})
    return row_of(size, lots, len(shares), calls)


def measure_forward(size: int, lot: Lot) -> tuple[list, float]:
    """Return the row of a trace forward and its median in ms."""
    edges, in_mg = descendant_edges(lot)
    graph = graph_of(edges)
    held, _ = swept_forward(lot.pk, edges, in_mg)
    others = networkx_forward(graph, lot.pk, in_mg)
    leaves = [pk for pk in held if pk not in in_mg]
    assert all(abs(held[pk] - others[pk]) < 1 for pk in leaves), "networkx disagrees"
    calls = (
        lambda: uses_of(lot)[:50],
        lambda: descendant_edges(lot),
        lambda: swept_forward(lot.pk, *plain_forward(lot)),
        lambda: swept_forward(lot.pk, edges, in_mg),
        lambda: networkx_forward(graph, lot.pk, in_mg),
    )
    lots = len({end for edge in edges for end in edge[:2]})
    return row_of(size, lots, len(held), calls)


def plain_forward(lot: Lot) -> tuple[list[tuple], dict[int, int]]:
    """Return what a sweep forward asks for, from the plain walk."""
    edges, in_mg = plain_walk(lot.pk, near="source", far="target")
    return edges, in_mg | {lot.pk: lot.in_mg}


def row_of(size: int, lots: int, ends: int, calls) -> tuple[list, float]:
    """Return one row of the table and the median of the whole call."""
    gc.collect()
    gc.freeze()  # or else each collection looks through what the benchmark itself holds
    whole, query, plain, sweep, library = (timed(call, before=cache.clear) for call in calls)
    row = [
        f"{size:,}",
        f"{lots:,}",
        f"{ends:,}",
        f"{whole.median:.1f}",
        f"{whole.p95:.1f}",
        f"{whole.best:.1f}",
        f"{query.median:.1f}",
        f"{plain.median:.1f}",
        f"{sweep.median:.1f}",
        f"{sweep.best:.1f}",
        f"{library.median:.1f}",
        f"{plain.median / whole.median:.1f}",
        f"{whole.median / sweep.median:.1f}",
        f"{library.median / whole.median:.1f}",
        load(),
    ]
    return row, whole.median


def drawn(keys: list[int]) -> list[Lot]:
    """Return lots at even distances among some, by primary key."""
    return list(Lot.objects.in_bulk(spread(keys, DRAWN)).values())


def edges_forward(lot: Lot) -> list[tuple]:
    """Return the transfers ahead of a lot."""
    return descendant_edges(lot)[0]


def asked_once(what: str, lots: list[Lot], ask, edges_of) -> tuple[list, float]:
    """Return the row of some lots that are each asked once, and the median of their calls in ms."""
    sizes = sorted(len(edges_of(lot)) for lot in lots)
    gc.collect()
    gc.freeze()
    calls = [partial(ask, lot) for lot in lots]
    ms = [
        timed(lambda call=call: call()[:50], times=1, before=cache.clear).median for call in calls
    ]
    middle, most = f"{sizes[len(sizes) // 2]:,}", f"{sizes[-1]:,}"
    return [what, len(lots), middle, most, f"{median(ms):.1f}", f"{p95(ms):.1f}", load()], median(
        ms
    )


def as_they_come(say) -> list:
    """Print what a trace takes of lots that are not chosen by their size; return the medians."""
    every = drawn(list(Lot.objects.order_by("pk").values_list("pk", flat=True)))
    deliveries = drawn(list(Delivery.objects.order_by("lot").values_list("lot", flat=True)))
    in_bins = list(Lot.objects.filter(kind=Lot.Kind.FILL).open())
    asked = {
        "back, all lots": (every, origins_of, ancestor_edges),
        "back, what is in the bins": (in_bins, origins_of, ancestor_edges),
        "forward, all lots": (every, uses_of, edges_forward),
        "forward, deliveries": (deliveries, uses_of, edges_forward),
    }
    found = {what: asked_once(what, *how) for what, how in asked.items()}
    head = ["trace", "lots", "transfers, median", "most", "median ms", "p95", "load"]
    rows = table(head, [row for row, _ms in found.values()])
    say(f"\nLots as they come on {connection.vendor}, each asked once, ms\n{rows}")
    return [
        below(f"trace {what}, each once, median", ms, HOLD_MS, "ms", f"load {load()}")
        for what, (_row, ms) in found.items()
    ]


def run(say) -> list:
    """Print the tables and return the figures that must hold."""
    figures = []
    ways = {"back": (lots_back, measure_back), "forward": (lots_forward, measure_forward)}
    for way, (choose, measure) in ways.items():
        rows, medians = [], {}
        for size, lot in choose():
            row, medians[size] = measure(size, lot)
            rows.append(row)
        say(f"\nTrace {way} on {connection.vendor}, ms\n{table(list(HEAD), rows)}")
        judged = min(medians, key=lambda size: abs(size - JUDGED))
        what = f"trace {way}, {judged:,} transfers, median"
        figures.append(below(what, medians[judged], HOLD_MS, "ms", f"load {load()}"))
    return figures + as_they_come(say)
