"""Follow mass through the ledger: where a lot came from, and where it went.

Every lot is a node, every transfer an edge carrying mass from the lot that gave
to the lot that took. A lot is well mixed: whatever it gives has the
make-up of the whole. A lot fills, then gives, so the graph has no cycle, and
one sweep in topological order is enough however often offcuts went round.
Paths are never listed: their number doubles with every round.

Edges may be `Edge`s or plain tuples of the same five values. Masses are whole
milligrams; shares are floats, good to about 1e-12 over 25,000 edges.
"""

from collections import defaultdict
from collections.abc import Hashable, Iterable, Mapping
from typing import NamedTuple

from inventory.calculations.masses import split_mass


class Edge(NamedTuple):
    """One transfer. An empty source or target is the outside."""

    source: int | None
    target: int | None
    mass_mg: int
    melted: bool = False
    role: str = ""


class Portion(NamedTuple):
    """One segment of a make-up: a key and its share of the whole (0 to 1)."""

    key: Hashable
    share: float


class Cycle(ValueError):  # noqa: N818 (named for what was found)
    """The graph goes round: `lots` lists the ring, each giving to the next."""

    def __init__(self, lots: list[int]):
        self.lots = lots
        ring = " -> ".join(str(lot) for lot in [*lots, lots[0]])
        super().__init__(f"These lots give to each other in a ring: {ring}")


def origin_shares(target: int, edges: Iterable[Edge]) -> dict[int, float]:
    """Return for each lot that came in from outside its share of the target.

    `edges` are all transfers whose target is the target lot or one of its
    ancestors, those from outside included. The shares sum to 1; a target that took nothing has none.

    share[source] += share[lot] * mass / mass into lot

    Raises Cycle when the lots go round, ValueError when a lot gave without
    having taken.

    Half of lot 3 came from delivery 1, half from delivery 2:

    >>> origin_shares(3, [(None, 1, 8, False, ""), (None, 2, 9, False, ""),
    ...                   (1, 3, 5, False, ""), (2, 3, 5, False, "")])
    {1: 0.5, 2: 0.5}
    """
    edges = tuple(edges)
    takings, from_outside, in_mg = _takings(edges)
    shares = {target: 1.0}
    origins = {}
    for lot in _in_order(takings, edges):
        share = shares.get(lot)
        if share is None or not _has_taken(lot, target, in_mg):
            continue
        per_mg = share / in_mg[lot]
        for source, mass_mg, _melted in takings.get(lot, ()):
            shares[source] = shares.get(source, 0.0) + per_mg * mass_mg
        if lot in from_outside:
            origins[lot] = per_mg * from_outside[lot]
    return origins


def uses(
    origin: int, edges: Iterable[Edge], in_mg: Mapping[int, int]
) -> tuple[dict[int, float], dict[str, float]]:
    """Return where the mass of a lot is now, in milligrams.

    The first answer is the mass of it held in each lot now (itself included),
    the second the mass gone outside by role. `edges` are all transfers whose source
    is the lot or one of its descendants; `in_mg` is the mass each of those lots took,
    from wherever. Both answers together sum to in_mg[origin].

    Raises Cycle when the lots go round, ValueError when a lot gave more than it
    took.

    Of 10 mg, 6 went into lot 2, half of which was shipped:

    >>> uses(1, [(1, 2, 6, False, ""), (2, None, 5, False, "ship")], {1: 10, 2: 10})
    ({1: 4.0, 2: 3.0}, {'ship': 3.0})
    """
    edges = tuple(edges)
    givings, to_outside, out_mg = _givings(edges)
    amounts = {origin: float(in_mg[origin])}
    held, gone = {}, defaultdict(float)
    for lot in _in_order({origin: [], **givings}, edges):
        amount = amounts.get(lot)
        if not amount:
            continue
        per_mg = amount / in_mg[lot]
        for target, mass_mg in givings.get(lot, ()):
            amounts[target] = amounts.get(target, 0.0) + per_mg * mass_mg
        for role, mass_mg in to_outside.get(lot, ()):
            gone[role] += per_mg * mass_mg
        if left_mg := _left(lot, in_mg, out_mg):
            held[lot] = per_mg * left_mg
    return held, dict(gone)


def pass_distribution(
    target: int, edges: Iterable[Edge], start: Mapping[int, int] | None = None
) -> dict[int, float]:
    """Return the share of the target's mass by its number of melt passes.

    A melted edge adds one pass. `edges` are those of `origin_shares`; `start`
    gives the passes that an origin had before it came in, 0 when it is not
    named. The shares sum to 1 and are ordered by passes.

    Source of the check: a constant share r of own regrind in well mixed
    charges gives (1 - r) r^n (geometric series).

    >>> pass_distribution(2, [(None, 1, 8, False, ""), (1, 2, 3, True, ""),
    ...                       (None, 2, 1, False, "")])
    {0: 0.25, 1: 0.75}
    """
    edges = tuple(edges)
    start = start or {}
    takings, from_outside, in_mg = _takings(edges)
    later = {target: {0: 1.0}}  # for each lot: share of the target by passes after that lot
    passes = defaultdict(float)
    for lot in _in_order(takings, edges):
        if lot not in later or not _has_taken(lot, target, in_mg):
            continue
        spread = [(count, share / in_mg[lot]) for count, share in later[lot].items()]
        for source, mass_mg, melted in takings.get(lot, ()):
            counts = later.setdefault(source, {})
            for count, per_mg in spread:
                after = count + bool(melted)
                counts[after] = counts.get(after, 0.0) + per_mg * mass_mg
        for count, per_mg in spread if lot in from_outside else ():
            passes[count + start.get(lot, 0)] += per_mg * from_outside[lot]
    return dict(sorted(passes.items()))


def allocate(total_mg: int, shares: Mapping[Hashable, float]) -> dict[Hashable, int]:
    """Return whole milligrams for each key, in proportion, summing to the total.

    The order of the keys is kept but does not matter: equal remainders are
    settled by share, then by the text of the key.

    >>> allocate(10, {"b": 0.5, "a": 0.25, "c": 0.25})
    {'b': 5, 'a': 3, 'c': 2}
    """
    ranked = sorted(shares, key=lambda key: (-shares[key], str(key)))
    masses = dict(zip(ranked, split_mass(total_mg, [shares[key] for key in ranked]), strict=True))
    return {key: masses[key] for key in shares}


def make_up(shares: Mapping[int, float], attributes: Mapping[int, Hashable]) -> list[Portion]:
    """Return the shares summed by an attribute of the lots, the largest first.

    `attributes` maps every lot to its key: its colour, its origin class. Equal
    shares are ordered by the text of the key.

    >>> make_up({1: 0.5, 2: 0.25, 3: 0.25}, {1: "red", 2: "blue", 3: "blue"})
    [Portion(key='blue', share=0.5), Portion(key='red', share=0.5)]
    """
    sums = defaultdict(float)
    for lot, share in shares.items():
        sums[attributes[lot]] += share
    ranked = sorted(sums.items(), key=lambda portion: (-portion[1], str(portion[0])))
    return [Portion(key, share) for key, share in ranked]


def topological_order(edges: Iterable[Edge]) -> list[int]:
    """Return the lots so that each stands after every lot it took from.

    Raises Cycle when the lots go round.

    >>> topological_order([(2, 3, 1, False, ""), (1, 2, 1, False, "")])
    [1, 2, 3]
    """
    edges = tuple(edges)
    givings, _, _ = _givings(edges)
    alone = {lot: [] for edge in edges for lot in edge[:2] if lot is not None}
    return _in_order(alone | givings, edges)


def find_cycle(edges: Iterable[Edge]) -> list[int] | None:
    """Return a ring of lots, each giving to the next, or None when there is none.

    >>> find_cycle([(1, 2, 5, False, ""), (2, 1, 5, False, "")])
    [2, 1]
    """
    givings, _, _ = _givings(edges)
    stuck = _nodes(givings).difference(_kahn(givings))
    # What Kahn's algorithm leaves over waits for a giver that is left over
    # too, so walking from giver to giver must come round.
    giver = {step[0]: lot for lot in givings if lot in stuck for step in givings[lot]}
    walk, lot = {}, min(stuck, key=str, default=None)
    while lot is not None and lot not in walk:
        walk[lot] = len(walk)
        lot = giver[lot]
    return list(walk)[walk[lot] :][::-1] if walk else None


def _takings(edges):
    """Sort edges by taker: what it took from lots, what from outside, in total."""
    takings, from_outside, in_mg = {}, {}, {}
    for source, target, mass_mg, melted, _role in edges:
        if target is None:
            continue
        in_mg[target] = in_mg.get(target, 0) + mass_mg
        if source is None:
            takings.setdefault(target, [])
            from_outside[target] = from_outside.get(target, 0) + mass_mg
        elif target in takings:
            takings[target].append((source, mass_mg, melted))
        else:
            takings[target] = [(source, mass_mg, melted)]
    return takings, from_outside, in_mg


def _givings(edges):
    """Sort edges by giver: what it gave to lots, what to outside, in total."""
    givings, to_outside, out_mg = {}, {}, {}
    for source, target, mass_mg, _melted, role in edges:
        if source is None:
            continue
        out_mg[source] = out_mg.get(source, 0) + mass_mg
        steps = givings.setdefault(source, [])
        if target is None:
            to_outside.setdefault(source, []).append((role, mass_mg))
        else:
            steps.append((target, mass_mg))
    return givings, to_outside, out_mg


def _kahn(steps) -> list[int]:
    """Order lots before those their steps lead to; a ring and what follows it are left out."""
    waiting = {}
    for moves in steps.values():
        for move in moves:
            waiting[move[0]] = waiting.get(move[0], 0) + 1
    order = [lot for lot in steps if lot not in waiting]
    for lot in order:  # grows while it is read
        for move in steps.get(lot, ()):
            waiting[move[0]] -= 1
            if not waiting[move[0]]:
                order.append(move[0])
    return order


def _nodes(steps) -> set[int]:
    return {move[0] for moves in steps.values() for move in moves}.union(steps)


def _in_order(steps, edges) -> list[int]:
    order = _kahn(steps)
    if len(order) < len(_nodes(steps)):
        raise Cycle(find_cycle(edges))
    return order


def _has_taken(lot: int, target: int, in_mg: Mapping[int, int]) -> bool:
    if lot in in_mg or lot == target:
        return lot in in_mg
    raise ValueError(f"Lot {lot} gave without having taken anything")


def _left(lot: int, in_mg: Mapping[int, int], out_mg: Mapping[int, int]) -> int:
    left_mg = in_mg[lot] - out_mg.get(lot, 0)
    if left_mg < 0:
        raise ValueError(f"Lot {lot} gave more than it took")
    return left_mg
