"""What a kilogram of a lot cost, against the shares of the trace reckoned another way."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.calculations import unit_costs as module
from inventory.calculations.exact_shares import exact_shares
from inventory.calculations.traces import Cycle, ordered_back
from inventory.calculations.unit_costs import unit_costs

MASSES = st.integers(1, 10**9)
PRICES = st.fractions(min_value=0, max_value=1000, max_denominator=10_000)


@st.composite
def books(draw):
    """Some deliveries, then lots that each took from some before; prices of some deliveries."""
    deliveries = list(range(1, draw(st.integers(1, 4)) + 1))
    edges = [(None, lot, draw(MASSES)) for lot in deliveries]
    lots = list(deliveries)
    for lot in range(10, 10 + draw(st.integers(1, 6))):
        sources = draw(st.lists(st.sampled_from(lots), min_size=1, max_size=3, unique=True))
        edges += [(source, lot, draw(MASSES)) for source in sources]
        lots.append(lot)
    priced = draw(st.lists(st.sampled_from(deliveries), unique=True))
    return edges, {lot: draw(PRICES) for lot in priced}, lots[-1]


@given(books())
def test_it_is_the_sum_over_the_origins_of_share_times_price(book):
    """By another way: the backward sweep of `exact_shares`, then one product for each origin."""
    edges, paid, lot = book
    shares = exact_shares(lot, ordered_back([(*edge, False, "") for edge in edges]))
    found = unit_costs(edges, paid)[lot]
    assert found.per_kg == sum(share * paid.get(each, 0) for each, share in shares.items())
    assert found.known_share == sum(share for each, share in shares.items() if each in paid)


@given(books())
def test_steps_are_never_above_the_exact_cost_and_hardly_below(book):
    edges, paid, lot = book
    exact = unit_costs(edges, paid)[lot]
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(module, "MOST_EXACT", 0)
        near = unit_costs(edges, paid)[lot]
    assert exact.per_kg - Fraction(1, 10**30) <= near.per_kg <= exact.per_kg
    assert exact.known_share - Fraction(1, 10**30) <= near.known_share <= exact.known_share


def test_a_price_of_nothing_is_known_and_no_price_is_not():
    edges = [(None, 1, 4), (None, 2, 4), (1, 3, 1), (2, 3, 3)]
    found = unit_costs(edges, {1: Fraction(0)})[3]
    assert (found.per_kg, found.known_share, found.is_whole) == (0, Fraction(1, 4), False)


def test_mass_that_only_a_scale_found_has_no_price():
    """A delivery topped up from outside later keeps its price for all that came under it."""
    found = unit_costs([(None, 1, 4), (None, 9, 2), (1, 3, 1), (9, 3, 1)], {1: Fraction(2)})
    assert (found[3].per_kg, found[3].known_share) == (1, Fraction(1, 2))


def test_lots_that_go_round_are_told():
    with pytest.raises(Cycle):
        unit_costs([(1, 2, 1), (2, 1, 1)], {})
