"""Drawings in layers, held against what Debian's graphviz draws of the same graphs."""

import random
from itertools import combinations

import networkx as nx
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from inventory.calculations.layouts import layered, layers_of

# Crossings of graphviz 2.43.0 (dot, rankdir=LR), counted on its own curves by
# tests/benchmarks/crossings.py, for family(nodes, seed).
DRAWN_BY_DOT = {(30, 0): 17, (30, 1): 17, (60, 0): 35, (60, 2): 54, (120, 1): 191, (120, 2): 127}


def family(nodes, seed):
    """A graph like that of a workshop's lots: most come from one, some from up to four earlier ones."""
    rng, edges = random.Random(seed), set()
    for node in range(1, nodes):
        many = 1 if rng.random() < 0.5 else rng.randint(1, 4)
        first = max(0, node - max(6, nodes // 6))
        for source in rng.sample(range(first, node), min(many, node - first)):
            edges.add((source, node))
    return list(range(nodes)), sorted(edges)


@st.composite
def graphs(draw):
    nodes = list(range(draw(st.integers(1, 14))))
    pairs = [(a, b) for a in nodes for b in nodes if a < b]
    return nodes, draw(st.lists(st.sampled_from(pairs), unique=True) if pairs else st.just([]))


def counted(drawing, edges):
    """Crossings by geometry: two straight pieces between the same layers that change sides."""
    pieces = [
        (line[step], line[step + 1]) for line in drawing.lines for step in range(len(line) - 1)
    ]
    return sum(
        (a[1] - c[1]) * (b[1] - d[1]) < 0
        for (a, b), (c, d) in combinations(pieces, 2)
        if a[0] == c[0]
    )


@settings(deadline=None)
@given(graphs())
def test_every_line_leads_to_a_later_layer_and_has_a_bend_in_each_between(graph):
    nodes, edges = graph
    drawing = layered(nodes, edges)
    for (source, target), line in zip(edges, drawing.lines, strict=True):
        assert [layer for layer, _place in line] == list(
            range(drawing.spots[source][0], drawing.spots[target][0] + 1)
        )
        assert (line[0], line[-1]) == (drawing.spots[source], drawing.spots[target])


@settings(deadline=None)
@given(graphs())
def test_nothing_stands_on_anything_else(graph):
    nodes, edges = graph
    drawing = layered(nodes, edges)
    for one, other in combinations(drawing.spots.values(), 2):
        assert one[0] != other[0] or abs(one[1] - other[1]) >= 1 - 1e-9
    bends = [point for line in drawing.lines for point in line[1:-1]]
    for bend in bends:
        for spot in drawing.spots.values():
            assert bend[0] != spot[0] or abs(bend[1] - spot[1]) > 0.6
    for one, other in combinations(bends, 2):
        assert one[0] != other[0] or abs(one[1] - other[1]) >= 0.3 - 1e-9


@settings(deadline=None)
@given(graphs())
def test_the_crossings_it_tells_are_those_that_are_seen(graph):
    nodes, edges = graph
    drawing = layered(nodes, edges)
    assert counted(drawing, edges) == drawing.crossings


@settings(deadline=None)
@given(graphs())
def test_no_node_stands_before_what_it_comes_from(graph):
    nodes, edges = graph
    layers = layers_of(nodes, edges)
    assert all(layers[source] < layers[target] for source, target in edges)
    assert max(layers.values()) == nx.dag_longest_path_length(nx.DiGraph(edges)) if edges else True


def test_the_same_graph_gives_the_same_drawing():
    nodes, edges = family(60, 5)
    assert layered(nodes, edges) == layered(nodes, edges)


def test_a_tree_is_drawn_without_a_crossing():
    tree = nx.balanced_tree(3, 3, create_using=nx.DiGraph)
    shuffled = random.Random(1).sample(list(tree), len(tree))
    assert layered(shuffled, list(tree.edges)).crossings == 0


def test_lines_cross_at_most_three_tenths_more_than_those_of_graphviz():
    ours = sum(layered(*family(*graph)).crossings for graph in DRAWN_BY_DOT)
    assert ours <= 1.3 * sum(DRAWN_BY_DOT.values())


def test_a_ring_is_refused():
    with pytest.raises(ValueError, match="ring"):
        layered("ab", [("a", "b"), ("b", "a")])


def test_nothing_is_drawn_of_nothing():
    assert layered([], []).spots == {}
