"""Whether a great graph goes round, against networkx."""

import networkx as nx
from hypothesis import given, settings
from hypothesis import strategies as st

from inventory.calculations.rings import tangled_lots

KEYS = st.integers(1, 9)
PAIRS = st.lists(st.tuples(KEYS, KEYS).filter(lambda pair: pair[0] != pair[1])).map(sorted)


def test_a_tree_is_not_tangled():
    assert tangled_lots([(1, 2), (1, 3), (3, 4)], 4) == []


def test_a_ring_and_what_hangs_on_it_is_tangled():
    assert tangled_lots([(1, 2), (2, 3), (3, 2), (3, 4), (5, 6)], 6) == [2, 3, 4]


def test_nothing_is_not_tangled():
    assert tangled_lots([], 0) == []


@settings(derandomize=True)
@given(PAIRS)
def test_agrees_with_networkx_on_what_is_on_or_behind_a_ring(pairs):
    """networkx: nodes of a ring are a strongly connected component of more than one node."""
    graph = nx.MultiDiGraph(pairs)
    rings = [ring for ring in nx.strongly_connected_components(graph) if len(ring) > 1]
    on_rings = set().union(*rings)
    behind = set().union(*(nx.descendants(graph, lot) for lot in on_rings))
    assert tangled_lots(pairs, 9) == sorted(on_rings | behind)
