"""What a kilogram of a lot cost: the prices of what came in, by the shares in which it is in there.

One sweep forward: what a lot took cost what it cost in the lot that gave it, so a kilogram of the
lot costs the mean by mass. That is the sum over all origins of share times price, for the shares are
those of the trace. An origin without a price is never taken as free: how much of the lot has a known
price is told beside it, and the cost of the rest is missing from the sum.

Whole fractions while at most `MOST_EXACT` lots lie behind; beyond that in steps of 1/2^128, each
rounded down, so that the sum stays "at least".
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from fractions import Fraction

from inventory.calculations.traces import Edge, ordered_back

MOST_EXACT = 600
STEPS = 2**128


@dataclass(frozen=True)
class UnitCost:
    """What a kg of a lot cost as far as prices are known, and the share of it whose price is known."""

    per_kg: Fraction
    known_share: Fraction

    @property
    def is_whole(self) -> bool:
        """Whether every origin has a price."""
        return self.known_share == 1


UNKNOWN = UnitCost(Fraction(0), Fraction(0))


def unit_costs(edges: Iterable[Edge], paid: Mapping[int, Fraction]) -> dict[int, UnitCost]:
    """Return what a kg of each lot cost, by the transfers behind them and the price per kg of lots from outside.

    Raises Cycle when the lots go round.

    Of lot 3 a quarter cost 2 a kg, a half cost nothing, and a quarter has no price:

    >>> found = unit_costs([(None, 1, 8), (None, 2, 8), (None, 4, 8), (1, 3, 1), (2, 3, 2), (4, 3, 1)],
    ...                    {1: Fraction(2), 2: Fraction(0)})
    >>> found[3].per_kg, found[3].known_share
    (Fraction(1, 2), Fraction(3, 4))
    """
    ordered = ordered_back([(*edge[:3], False, "") for edge in edges])
    lots = [lot for lot in reversed(ordered.lots) if ordered.groups.get(lot)]
    step = 1 if len(lots) <= MOST_EXACT else STEPS
    costs, known = {None: 0}, {None: 0}
    for lot in lots:
        taken = ordered.groups[lot]
        of_mg = sum(edge[2] for edge in taken)
        price = paid.get(lot)
        own = (0, 0) if price is None else (_scaled(price, step), step)
        costs[lot] = _mean(taken, costs, own[0], of_mg, step)
        known[lot] = _mean(taken, known, own[1], of_mg, step)
    return {lot: UnitCost(Fraction(costs[lot], step), Fraction(known[lot], step)) for lot in lots}


def _scaled(price: Fraction, step: int):
    """Return a price in steps: exact where they are whole, else rounded down."""
    return Fraction(price) if step == 1 else int(Fraction(price) * step)


def _mean(taken, values: Mapping, own, of_mg: int, step: int):
    """Return the mean by mass of what a lot took; what came from outside has the lot's own value."""
    total = sum(
        mass_mg * (own if source is None else values[source]) for source, _lot, mass_mg, *_ in taken
    )
    return Fraction(total, of_mg) if step == 1 else total // of_mg
