"""What a kilogram of lots cost, by the prices of the deliveries behind them."""

from collections.abc import Iterable, Mapping
from fractions import Fraction

from inventory.calculations.unit_costs import UnitCost, unit_costs
from inventory.queries.closures import ancestor_edges_of_all
from inventory.queries.prices import paid_for


def costs_of_lots(lots: Mapping[int, str]) -> dict[int, UnitCost]:
    """Return what a kg of lots cost; `lots` gives the currency in which each is asked for.

    A price in another currency is not known. In two queries however many lots (one more for each ten
    thousand deliveries); a lot that took nothing is missing.
    """
    if not lots:
        return {}
    edges = ancestor_edges_of_all(lots)
    paid = paid_for(edge[1] for edge in edges if edge[0] is None)
    found = {}
    for currency in set(lots.values()):
        known = {lot: Fraction(per_kg) for lot, (per_kg, told) in paid.items() if told == currency}
        costs = unit_costs(edges, known)
        wanted = wanted_in(lots, currency)
        found |= {lot: costs[lot] for lot in wanted if lot in costs}
    return found


def wanted_in(lots: Mapping[int, str], currency: str) -> Iterable[int]:
    """Return the lots that are asked for in a currency."""
    return [lot for lot, asked in lots.items() if asked == currency]
