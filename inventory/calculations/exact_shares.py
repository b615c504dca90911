"""The sweep of `origin_shares` in whole numbers, for claims and for what documents tell; never above the truth."""

from collections.abc import Callable
from fractions import Fraction

from inventory.calculations.traces import Ordered

STEPS = 2**128


def exact_shares(target: int, ordered: Ordered) -> dict[int, Fraction]:
    """Return for each lot that came in from outside its exact share of the target.

    The sweep of `origin_shares` in whole fractions. They grow with each lot on the way, so it
    is for some hundreds of lots; beyond that, take `near_shares`.
    """
    return _shares(
        target, ordered, Fraction(1), lambda share, mg, of_mg: share * Fraction(mg, of_mg)
    )


def near_shares(target: int, ordered: Ordered) -> dict[int, Fraction]:
    """Return for each lot from outside its share of the target, never above the exact one.

    The same sweep in whole numbers of 1/2^128, each step rounded down: over a million transfers
    less than 1e-32 of the mass is missing, which `floor_percent` and `floor_permille` pass over.
    """
    steps = _shares(target, ordered, STEPS, lambda share, mg, of_mg: share * mg // of_mg)
    return {lot: Fraction(share, STEPS) for lot, share in steps.items()}


def _shares(target: int, ordered: Ordered, whole, part: Callable) -> dict:
    """Sweep a whole back to the lots from outside; `part` gives what some mg of all mg carry of it."""
    shares, origins = {target: whole}, {}
    for lot in ordered.lots:
        taken = ordered.groups.get(lot, ())
        if lot not in shares or not taken:
            continue
        share, of_mg = shares.pop(lot), sum(edge[2] for edge in taken)
        for source, _target, mass_mg, *_rest in taken:
            into, key = (origins, lot) if source is None else (shares, source)
            into[key] = into.get(key, 0) + part(share, mass_mg, of_mg)
    return origins
