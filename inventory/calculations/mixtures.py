"""What every lot of a graph consists of, in one sweep from the deliveries on.

For many lots at once this is one pass, where a sweep back from each lot would be as many. The
shares are of kinds (a delivery's origin class, polymer and colour), of which there are few.
"""

from collections.abc import Hashable, Iterable, Mapping

from inventory.calculations.traces import TARGET, Edge, ordered_back

Mixture = dict[Hashable, float]


def mixtures(edges: Iterable[Edge], kinds: Mapping[int, Hashable | Mixture]) -> dict[int, Mixture]:
    """Return the share of each kind in each lot that took something; they sum to 1.

    `edges` are all transfers into the lots and their ancestors, those from outside
    included; `kinds` names every lot that took from outside, or the shares of several kinds in
    it. Raises Cycle when lots go round.

    >>> mixtures([(None, 1, 8, False, ""), (None, 2, 9, False, ""),
    ...           (1, 3, 5, False, ""), (2, 3, 5, False, "")], {1: "new", 2: "old"})[3]
    {'new': 0.5, 'old': 0.5}
    """
    takings, order = ordered_back(edges)
    found = {}
    for lot in reversed(order):  # each after all it took from
        taken = takings.get(lot, ())
        whole = sum(edge[2] for edge in taken)
        shares = {}
        for source, _target, mass_mg, *_rest in taken:
            for kind, share in (_kinds(kinds[lot]) if source is None else found[source]).items():
                shares[kind] = shares.get(kind, 0.0) + share * mass_mg / whole
        if taken:
            found[lot] = shares
    return found


def _kinds(kind: Hashable | Mixture) -> Mixture:
    return kind if isinstance(kind, dict) else {kind: 1.0}


def origin_lots(edges: Iterable[Edge]) -> set[int]:
    """Return the lots that took from outside."""
    return {edge[TARGET] for edge in edges if edge[0] is None}


def is_same(one: Mixture, other: Mixture, *, within: float = 1e-9) -> bool:
    """Whether two mixtures are the same but for the rounding of floats."""
    kinds = one.keys() | other.keys()
    return all(abs(one.get(kind, 0.0) - other.get(kind, 0.0)) <= within for kind in kinds)
