"""The sweep against a linear solve in exact fractions, against every path of a graph library
(networkx), and against the published rules of content and passes."""

from collections import defaultdict
from fractions import Fraction
from math import prod

import networkx as nx
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from inventory.calculations.traces import (
    Cycle,
    Edge,
    allocate,
    find_cycle,
    make_up,
    origin_shares,
    pass_distribution,
    topological_order,
    uses,
    uses_of_all,
)

OUTSIDE = 0  # networkx takes no None for a node
NAMES = list(range(1, 9))
FATES = ["ship", "dispose", "loss"]
unhurried = settings(deadline=None)  # the exact solve may be slow on a busy machine


@st.composite
def histories(draw):
    """Lots that fill, then give, under names in no order; offcuts go round as chains of lots."""
    edges, left = [], {}
    for lot in draw(st.permutations(NAMES)):
        wishes = st.tuples(st.sampled_from([None, *left]), st.integers(1, 10**9), st.booleans())
        for source, wanted, melted in draw(st.lists(wishes, min_size=1, max_size=4)):
            mass_mg = wanted if source is None else min(wanted, left[source])
            edges.append(Edge(source, lot, mass_mg, melted and source is not None, "load"))
            left |= {source: left[source] - mass_mg} if source else {}
        edges.append(Edge(None, lot, 1, False, "receive"))
        left[lot] = sum(edge.mass_mg for edge in edges if edge.target == lot)
    for lot in draw(st.sets(st.sampled_from(NAMES))):
        gone = draw(st.integers(0, left[lot]))
        edges.append(Edge(lot, None, gone, False, draw(st.sampled_from(FATES))))
    return [edge for edge in draw(st.permutations(edges)) if edge.mass_mg]


def graph_of(edges):
    graph = nx.MultiDiGraph()
    ends = [(edge.source or OUTSIDE, edge.target, edge) for edge in edges if edge.target]
    graph.add_edges_from((source, target, {"edge": edge}) for source, target, edge in ends)
    return graph


def behind(target, edges):
    lots = nx.ancestors(graph_of(edges), target) | {target}
    return [edge for edge in edges if edge.target in lots]


def ahead(origin, edges):
    lots = nx.descendants(graph_of(edges), origin) | {origin}
    return [edge for edge in edges if edge.source in lots]


def masses_in(edges):
    in_mg = defaultdict(int)
    for edge in edges:
        in_mg[edge.target] += edge.mass_mg
    return in_mg


def masses_out(edges):
    return masses_in([edge._replace(target=edge.source) for edge in edges])


def solve(rows):
    """Gauss and Jordan in exact fractions; the last column is the right side."""
    for column in range(len(rows)):
        pivot = next(row for row in range(column, len(rows)) if rows[row][column])
        rows[column], rows[pivot] = rows[pivot], rows[column]
        rows[column] = [cell / rows[column][column] for cell in rows[column]]
        for other in range(len(rows)):
            factor = rows[other][column] if other != column else 0
            rows[other] = [a - factor * b for a, b in zip(rows[other], rows[column], strict=True)]
    return [row[-1] for row in rows]


def exact_flow(origin, edges):
    """Milligrams of `origin` that ever passed through each lot: flow = own + sum of shares given."""
    in_mg = masses_in(edges)
    rows = [[Fraction(row == column) for column in NAMES] for row in NAMES]
    for edge in edges:
        if edge.source and edge.target:
            rows[edge.target - 1][edge.source - 1] -= Fraction(edge.mass_mg, in_mg[edge.source])
    for lot, row in zip(NAMES, rows, strict=True):
        row.append(Fraction(in_mg[origin] if lot == origin else 0))
    return dict(zip(NAMES, solve(rows), strict=True))


def by_path(target, edges):
    """Sum, over every path of networkx from outside, the product of the shares along it."""
    in_mg = masses_in(edges)
    graph = graph_of(edges)
    shares, passes = defaultdict(Fraction), defaultdict(Fraction)
    for path in nx.all_simple_edge_paths(graph, OUTSIDE, target):
        steps = [graph.edges[step]["edge"] for step in path]
        share = prod(Fraction(step.mass_mg, in_mg[step.target]) for step in steps)
        shares[steps[0].target] += share
        passes[sum(step.melted for step in steps)] += share
    return shares, passes


@unhurried
@given(histories(), st.sampled_from(NAMES))
def test_origins_are_those_of_every_path(edges, target):
    shares, _ = by_path(target, edges)
    assert origin_shares(target, behind(target, edges)) == pytest.approx(shares, abs=1e-12)


@unhurried
@given(histories(), st.sampled_from(NAMES))
def test_origin_shares_sum_to_one(edges, target):
    assert sum(origin_shares(target, behind(target, edges)).values()) == pytest.approx(1, abs=1e-9)


@unhurried
@given(histories(), st.sampled_from(NAMES))
def test_passes_are_those_of_every_path(edges, target):
    _, passes = by_path(target, edges)
    assert pass_distribution(target, behind(target, edges)) == pytest.approx(passes, abs=1e-12)


@unhurried
@given(histories(), st.sampled_from(NAMES))
def test_what_is_held_solves_the_linear_equations(edges, origin):
    in_mg, out_mg = masses_in(edges), masses_out(edges)
    flow = exact_flow(origin, edges)
    exact = {lot: flow[lot] * (in_mg[lot] - out_mg[lot]) / in_mg[lot] for lot in NAMES}
    held, _ = uses(origin, ahead(origin, edges), in_mg)
    assert held == pytest.approx({lot: mg for lot, mg in exact.items() if mg}, rel=1e-9)


@unhurried
@given(histories(), st.sampled_from(NAMES))
def test_what_is_gone_solves_the_linear_equations(edges, origin):
    in_mg = masses_in(edges)
    flow = exact_flow(origin, edges)
    out = {edge.source: edge for edge in edges if edge.target is None}
    exact = {fate: Fraction() for fate in FATES}
    for lot, edge in out.items():
        exact[edge.role] += flow[lot] * edge.mass_mg / in_mg[lot]
    _, gone = uses(origin, ahead(origin, edges), in_mg)
    assert gone == pytest.approx({fate: mg for fate, mg in exact.items() if mg}, rel=1e-9)


@unhurried
@given(histories(), st.sampled_from(NAMES))
def test_nothing_of_a_lot_is_lost_on_the_way(edges, origin):
    in_mg = masses_in(edges)
    held, gone = uses(origin, ahead(origin, edges), in_mg)
    assert sum(held.values()) + sum(gone.values()) == pytest.approx(in_mg[origin], rel=1e-6)


def exact_taint(lot, chosen, edges):
    """The share of a lot that some lots make up, by definition and in exact fractions."""
    if lot in chosen:
        return Fraction(1)
    taken = [edge for edge in edges if edge.target == lot]
    parts = [
        edge.mass_mg * exact_taint(edge.source, chosen, edges) for edge in taken if edge.source
    ]
    return Fraction(sum(parts), sum(edge.mass_mg for edge in taken)) if taken else Fraction(0)


@unhurried
@given(histories(), st.sets(st.sampled_from(NAMES), min_size=1, max_size=3))
def test_what_holds_some_of_several_lots_is_that_of_the_definition(edges, chosen):
    in_mg, out_mg = masses_in(edges), masses_out(edges)
    leaving = [edge for edge in edges if edge.source]
    held, gone = uses_of_all(chosen, leaving, in_mg)
    for lot in NAMES:
        exact = exact_taint(lot, chosen, edges) * (in_mg[lot] - out_mg[lot])
        assert held.get(lot, 0) == pytest.approx(float(exact), abs=1e-3)
    left = sum(
        edge.mass_mg * exact_taint(edge.source, chosen, edges)
        for edge in leaving
        if not edge.target
    )
    assert sum(gone.values()) == pytest.approx(float(left), abs=1e-3)


@unhurried
@given(histories())
def test_a_lot_stands_after_those_it_took_from(edges):
    place = {lot: number for number, lot in enumerate(topological_order(edges))}
    assert sorted(place) == NAMES
    assert all(
        place[edge.source] < place[edge.target] for edge in edges if edge.source and edge.target
    )


@given(st.lists(st.tuples(st.sampled_from(NAMES), st.sampled_from(NAMES)), max_size=14))
def test_a_ring_is_found_when_networkx_finds_one(pairs):
    edges = [Edge(source, target, 1) for source, target in pairs]
    ring = find_cycle(edges)
    assert (ring is None) == nx.is_directed_acyclic_graph(nx.DiGraph(pairs))
    assert set(zip(ring or [], [*ring[1:], ring[0]] if ring else [], strict=True)) <= set(pairs)


RING = [
    Edge(None, 1, 5),
    Edge(1, 2, 5),
    Edge(2, 3, 5),
    Edge(3, 4, 2),
    Edge(4, 2, 2),
    Edge(3, 5, 3),
    Edge(5, None, 3, False, "ship"),
]


@pytest.mark.parametrize(
    "walk",
    [
        lambda: origin_shares(5, RING),
        lambda: pass_distribution(5, RING),
        lambda: uses(1, RING, masses_in(RING)),
        lambda: topological_order(RING),
    ],
    ids=["back", "passes", "forward", "order"],
)
def test_a_ring_is_refused_and_named(walk):
    with pytest.raises(Cycle, match="->") as refusal:
        walk()
    ring = refusal.value.lots
    assert sorted(ring) == [2, 3, 4]
    assert (ring * 2)[ring.index(2) :][:3] == [2, 3, 4]


def test_a_lot_that_gives_to_itself_is_a_ring():
    assert find_cycle([Edge(1, 1, 5)]) == [1]


def test_refuses_a_lot_that_gave_without_having_taken():
    with pytest.raises(ValueError, match="Lot 1 gave without"):
        origin_shares(2, [Edge(1, 2, 5)])


def test_refuses_a_lot_that_gave_more_than_it_took():
    with pytest.raises(ValueError, match="Lot 1 gave more"):
        uses(1, [Edge(1, 2, 6)], {1: 5, 2: 6})


def test_an_empty_lot_has_no_origins_and_no_passes():
    assert origin_shares(1, []) == {}
    assert origin_shares(1, [Edge(1, None, 5)]) == {}
    assert pass_distribution(1, []) == {}


def test_an_empty_lot_is_nowhere():
    assert uses(1, [], {1: 0}) == ({}, {})


def test_a_lot_that_gave_nothing_holds_all_of_itself():
    assert uses(1, [], {1: 7}) == ({1: 7.0}, {})


def test_plain_rows_of_a_database_serve_as_edges():
    rows = [(None, 1, 8, 0, "receive"), (1, 2, 8, 1, "load")]
    assert origin_shares(2, iter(rows)) == {1: 1.0}
    assert pass_distribution(2, iter(rows)) == {1: 1.0}


def test_offcuts_that_went_round_many_times_are_swept_once():
    """Each round gives two ways forward, so 300 rounds make 2^300 paths; none is listed."""
    rounds = [Edge(lot, lot + 1, 5, True) for lot in range(2, 302) for _ in "ab"]
    edges = [Edge(None, 1, 1), Edge(None, 2, 9), Edge(1, 2, 1), *rounds]
    assert origin_shares(302, edges) == pytest.approx({1: 0.1, 2: 0.9})
    assert pass_distribution(302, edges) == pytest.approx({300: 1})


def recycling(cycles, regrind, virgin):
    """Charges in a row, each taking its own last offcuts back as regrind."""
    returned = [Edge(lot, lot + 1, regrind, True, "offcut") for lot in range(1, cycles)]
    bought = [
        Edge(None, lot, virgin if lot > 1 else regrind + virgin) for lot in range(1, cycles + 1)
    ]
    return bought + returned


def test_constant_regrind_follows_the_geometric_series():
    """Exact: a share r gives (1 - r) r^n with n earlier passes; the start-up holds the rest."""
    spread = pass_distribution(9, recycling(9, regrind=1, virgin=3))
    series = {passes: 0.75 * 0.25**passes for passes in range(8)}
    assert spread == pytest.approx(series | {8: 0.25**8}, abs=1e-12)


def test_mean_passes_of_constant_regrind():
    """Exact: the mean is r / (1 - r); r = 0.8 gives 4, reached after many charges."""
    spread = pass_distribution(200, recycling(200, regrind=4, virgin=1))
    assert sum(passes * share for passes, share in spread.items()) == pytest.approx(4, abs=1e-9)


def test_passes_before_the_door_are_added():
    edges = [Edge(None, 1, 1), Edge(None, 2, 3), Edge(1, 3, 1, True), Edge(2, 3, 3, True)]
    assert pass_distribution(3, edges, start={1: 2}) == {1: 0.75, 3: 0.25}


def test_an_all_virgin_loop_stays_virgin():
    """ISO 14021: own offcuts are no recycled content, however often they go round."""
    shares = origin_shares(9, recycling(9, regrind=1, virgin=3))
    assert make_up(shares, dict.fromkeys(range(1, 10), "virgin")) == [("virgin", pytest.approx(1))]


def test_the_offcuts_of_a_post_consumer_charge_carry_their_origin():
    """ISO 14021 by lineage, worked by hand: 10 % of a post-consumer charge returns into virgin."""
    edges = [Edge(None, 1, 100), Edge(1, 2, 10, True, "offcut"), Edge(None, 2, 90)]
    (virgin, recycled) = make_up(origin_shares(2, edges), {1: "post-consumer", 2: "virgin"})
    assert virgin == ("virgin", pytest.approx(0.9))
    assert recycled == ("post-consumer", pytest.approx(0.1))


def test_the_make_up_sums_lots_of_one_colour():
    shares = {1: 0.2, 2: 0.3, 3: 0.5}
    portions = make_up(shares, {1: "blue", 2: "blue", 3: "red"})
    assert [portion.key for portion in portions] == ["blue", "red"]
    assert portions[0].share == pytest.approx(0.5)


@given(
    st.integers(0, 10**11),
    st.dictionaries(st.sampled_from("abcdefgh"), st.floats(1e-6, 1), min_size=1),
)
def test_allocated_milligrams_sum_to_the_total(total_mg, shares):
    masses = allocate(total_mg, shares)
    assert sum(masses.values()) == total_mg
    assert list(masses) == list(shares)


@given(st.permutations("abcdefg"), st.integers(0, 10**6))
def test_the_order_of_keys_does_not_move_a_milligram(keys, total_mg):
    in_order = allocate(total_mg, dict.fromkeys("abcdefg", 1 / 7))
    assert allocate(total_mg, dict.fromkeys(keys, 1 / 7)) == in_order


@unhurried
@given(histories(), st.sampled_from(NAMES))
def test_the_milligrams_of_the_origins_make_up_the_lot(edges, target):
    in_mg = masses_in(edges)[target]
    masses = allocate(in_mg, origin_shares(target, behind(target, edges)))
    assert sum(masses.values()) == in_mg
