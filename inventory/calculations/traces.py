"""Follow mass through the ledger: where a lot came from, and where it went.

Every lot is a node, every transfer an edge carrying mass from the lot that gave
to the lot that took. A lot is well mixed: whatever it gives has the
make-up of the whole. A lot fills, then gives, so the graph has no cycle, and
one sweep in topological order is enough however often offcuts went round.
Paths are never listed: their number doubles with every round.

Edges may be `Edge`s or plain tuples of the same five values. Who asks two
questions of the same edges orders them once with `ordered_back` and hands that
on. Masses are whole milligrams; shares are floats, good to about 1e-12 over
25,000 edges.
"""

from collections import Counter, defaultdict
from collections.abc import Hashable, Iterable, Mapping, Sequence
from math import fsum
from operator import itemgetter
from typing import NamedTuple

from inventory.calculations.masses import split_mass

SOURCE, TARGET, MASS, ROLE = 0, 1, 2, 4  # places in an edge
_MASS = itemgetter(MASS)


class Edge(NamedTuple):
    """One transfer. An empty source or target is the outside."""

    source: int | None
    target: int | None
    mass_mg: int
    melted: bool = False
    role: str = ""


class Ordered(NamedTuple):
    """Edges grouped by one of their ends, and the lots in the order of the sweep."""

    groups: dict[int | None, list[Edge]]
    lots: list[int]


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


def ordered_back(edges: Iterable[Edge]) -> Ordered:
    """Return edges in the order in which a sweep back reads them.

    Raises Cycle when the lots go round.
    """
    return _ordered(edges, by=TARGET)


def origin_shares(target: int, edges: Iterable[Edge] | Ordered) -> dict[int, float]:
    """Return for each lot that came in from outside its share of the target.

    `edges` are all transfers whose target is the target lot or one of its
    ancestors, those from outside included. The shares sum to 1; a target
    that took nothing has none.

    share[source] += share[lot] * mass / mass into lot

    Raises Cycle when the lots go round, ValueError when a lot gave without
    having taken.

    Half of lot 3 came from delivery 1, half from delivery 2:

    >>> origin_shares(3, [(None, 1, 8, False, ""), (None, 2, 9, False, ""),
    ...                   (1, 3, 5, False, ""), (2, 3, 5, False, "")])
    {1: 0.5, 2: 0.5}
    """
    takings, order = _back(edges)
    shares = defaultdict(float, {target: 1.0})
    origins = defaultdict(float)
    for lot in order:
        share = shares.get(lot)
        if share is None:
            continue
        taken = takings.get(lot, ())
        per_mg = share / _in_mg(lot, taken, target)
        for edge in taken:
            source = edge[SOURCE]
            if source is None:
                origins[lot] += per_mg * edge[MASS]
            else:
                shares[source] += per_mg * edge[MASS]
    return dict(origins)


def uses(
    origin: int, edges: Iterable[Edge], in_mg: Mapping[int, int]
) -> tuple[dict[int, float], dict[str, float]]:
    """Return where the mass of a lot is now, in milligrams.

    The first answer is the mass of it held in each lot now (itself included),
    the second the mass of it gone outside, by role. `edges` are all transfers
    whose source is the lot or one of its descendants; `in_mg` is the mass
    that each of those lots took, from wherever; a lot that gave nothing on may
    be missing, since it holds all that reached it. Both answers together sum
    to in_mg[origin].

    Raises Cycle when the lots go round, ValueError when a lot gave more than
    it took.

    Of 10 mg, 6 went into lot 2, half of which was shipped:

    >>> uses(1, [(1, 2, 6, False, ""), (2, None, 5, False, "ship")], {1: 10, 2: 10})
    ({1: 4.0, 2: 3.0}, {'ship': 3.0})
    """
    return uses_of_all([origin], edges, in_mg)


def uses_of_all(
    origins: Iterable[int], edges: Iterable[Edge], in_mg: Mapping[int, int]
) -> tuple[dict[int, float], dict[str, float]]:
    """Return where the mass of several lots is now, as `uses` does for one.

    All that one of them took counts, whatever it came from; where one is behind another
    its mass counts once. `edges` are those out of all of them and their descendants.

    >>> uses_of_all([1, 2], [(1, 2, 6, False, ""), (2, None, 5, False, "ship")], {1: 10, 2: 10})
    ({1: 4.0, 2: 5.0}, {'ship': 5.0})
    """
    edges = list(edges)
    givings, waiting = _grouped(edges, by=SOURCE)
    whole = {origin: float(in_mg[origin]) for origin in origins}
    amounts = defaultdict(float)
    held, gone = {}, defaultdict(float)
    order = [None, *(lot for lot in {*givings, *whole} if lot not in waiting)]
    for lot in order:  # grows while it is read, as in _ordered: one loop over the edges, not two
        amount = whole.get(lot) or amounts.get(lot, 0.0)
        given = givings.get(lot, ())
        per_mg = amount / in_mg[lot] if amount and given else 0.0
        for edge in given:
            target, share_mg = edge[TARGET], per_mg * edge[MASS]
            if target is None:
                gone[edge[ROLE]] += share_mg
                continue
            amounts[target] += share_mg
            waiting[target] = left = waiting[target] - 1
            if not left:
                order.append(target)
        if amount and not given:
            held[lot] = amount
        elif amount and (left_mg := _left_mg(lot, given, in_mg)):
            held[lot] = per_mg * left_mg
    _refuse_rings(waiting, edges, by=SOURCE)
    return held, dict(gone)


def pass_distribution(
    target: int,
    edges: Iterable[Edge] | Ordered,
    start: Mapping[int, int | Mapping[int, float]] | None = None,
    *,
    most: int | None = None,
) -> dict[int, float]:
    """Return the share of the target's mass by its number of melt passes.

    A melted edge adds one pass. `edges` are those of `origin_shares`; `start`
    gives the passes that an origin had before it came in, or its shares by
    passes, 0 when it is not named. The shares sum to 1 and are ordered by passes.

    With `most`, everything that passed that often or oftener counts together
    under it, and the counts below it stay exact: min(min(a, most) + b, most) is
    min(a + b, most). Where offcuts go round, the counts in a ledger grow with
    every round and the work with them; a figure of at most nine keeps the
    sweep of 25,000 edges as quick as that of the origins.

    >>> pass_distribution(2, [(None, 1, 8, False, ""), (1, 2, 3, True, ""),
    ...                       (None, 2, 1, False, "")])
    {0: 0.25, 1: 0.75}
    """
    takings, order = _back(edges)
    before = start or {}
    later = {target: {0: 1.0}}  # for each lot: shares of the target by passes since that lot
    passes = {}
    for lot in order:
        if lot not in later:
            continue
        taken, since = takings.get(lot, ()), later.pop(lot)
        in_mg = _in_mg(lot, taken, target)
        melted_since = _passed(since, 1, most)
        for source, _, mass_mg, melted, _ in taken:
            if source is None:
                for earlier, part in _earlier(before.get(lot, 0)):
                    later_by = _passed(since, earlier, most)
                    _add_shares(passes, later_by, part * mass_mg / in_mg)
            else:
                counts = later.setdefault(source, {})
                _add_shares(counts, melted_since if melted else since, mass_mg / in_mg)
    return dict(sorted(passes.items()))


def _earlier(before: int | Mapping[int, float]) -> Iterable[tuple[int, float]]:
    """Return shares by the passes that an origin had before it came in."""
    return before.items() if isinstance(before, Mapping) else ((before, 1.0),)


def _passed(since: dict[int, float], more: int, most: int | None) -> dict[int, float]:
    """Return shares by passes, each `more` passes later, what is beyond `most` together under it."""
    if most is None or max(since) + more <= most:
        return {count + more: share for count, share in since.items()} if more else since
    counts = {}
    for count, share in since.items():
        later = min(count + more, most)
        counts[later] = counts.get(later, 0.0) + share
    return counts


def _add_shares(counts: dict[int, float], shares: dict[int, float], part: float) -> None:
    """Add a part of some shares by passes to others."""
    for count, share in shares.items():
        if count in counts:
            counts[count] += share * part
        else:
            counts[count] = share * part


def allocate(total_mg: int, shares: Mapping[Hashable, float]) -> dict[Hashable, int]:
    """Return whole milligrams for each key, in proportion, summing to the total.

    The order of the keys is kept but does not matter: equal remainders are
    settled by share, then by the text of the key.

    >>> allocate(10, {"b": 0.5, "a": 0.25, "c": 0.25})
    {'b': 5, 'a': 3, 'c': 2}
    """
    ranked = sorted(sorted(shares, key=str), key=shares.__getitem__, reverse=True)
    whole = fsum(shares.values())
    if not whole:
        return dict(zip(ranked, split_mass(total_mg, [0] * len(ranked)), strict=True))
    exact = [total_mg * shares[key] / whole for key in ranked]  # errors far below 1 mg
    masses = list(map(int, exact))
    rests = [share_mg - mg for share_mg, mg in zip(exact, masses, strict=True)]
    largest_first = sorted(range(len(rests)), key=rests.__getitem__, reverse=True)
    for place in largest_first[: total_mg - sum(masses)]:
        masses[place] += 1
    found = dict(zip(ranked, masses, strict=True))
    return {key: found[key] for key in shares}


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
    return _ordered(edges, by=SOURCE)[1]


def find_cycle(edges: Iterable[Edge]) -> list[int] | None:
    """Return a ring of lots, each giving to the next, or None when there is none.

    >>> find_cycle([(1, 2, 5, False, ""), (2, 1, 5, False, "")])
    [2, 1]
    """
    try:
        topological_order(edges)
    except Cycle as cycle:
        return cycle.lots
    return None


def _back(edges: Iterable[Edge] | Ordered) -> Ordered:
    return edges if isinstance(edges, Ordered) else ordered_back(edges)


def _ordered(edges: Iterable[Edge], *, by: int) -> Ordered:
    """Group edges by one end and order the lots from that end to the other.

    By source, a lot stands after all it took from; by target, after all it
    gave to (Kahn's algorithm). The outside, None, is where the walk starts
    and never a lot of the order.
    """
    edges = list(edges)
    other = TARGET - by
    groups, waiting = _grouped(edges, by=by)
    order = [None, *(lot for lot in groups if lot not in waiting)]
    for lot in order:  # grows while it is read
        for edge in groups.get(lot, ()):
            step = edge[other]
            waiting[step] = left = waiting[step] - 1
            if not left:
                order.append(step)
    _refuse_rings(waiting, edges, by=by)
    return Ordered(groups, order[1:])


def _grouped(edges: list[Edge], *, by: int) -> tuple[dict, dict]:
    """Return edges by one of their ends, and how many of them wait at the other end."""
    groups = defaultdict(list)
    for edge in edges:
        groups[edge[by]].append(edge)
    waiting = dict(Counter(map(itemgetter(TARGET - by), edges)))  # a plain dict counts down faster
    waiting[None] = 0  # steps to the outside count down from here and never meet zero
    return groups, waiting


def _refuse_rings(waiting: dict[int | None, int], edges: list[Edge], *, by: int) -> None:
    """Raise Cycle when lots still wait after all others were visited."""
    if stuck := {lot for lot, left in waiting.items() if left > 0}:
        raise Cycle(_ring(stuck, edges, by=by))


def _ring(stuck: set[int], edges: list[Edge], *, by: int) -> list[int]:
    """Return a ring among lots that all wait for another of them."""
    waits_for = {edge[TARGET - by]: edge[by] for edge in edges if stuck.issuperset(edge[:2])}
    walk, lot = {}, min(waits_for)
    while lot not in walk:  # nobody here waits for nothing, so the walk must come round
        walk[lot] = len(walk)
        lot = waits_for[lot]
    ring = list(walk)[walk[lot] :]
    return ring[::-1] if by == SOURCE else ring


def _in_mg(lot: int, taken: Sequence[Edge], target: int) -> int:
    if len(taken) == 1:
        return taken[0][MASS]
    if not taken and lot != target:
        raise ValueError(f"Lot {lot} gave without having taken anything")
    return sum(map(_MASS, taken)) or 1  # an empty target shares out nothing


def _left_mg(lot: int, given: Iterable[Edge], in_mg: Mapping[int, int]) -> int:
    left_mg = in_mg[lot] - sum(map(_MASS, given))
    if left_mg < 0:
        raise ValueError(f"Lot {lot} gave more than it took")
    return left_mg
