"""Shares in whole numbers against the sweep in floats, and against each other."""

from fractions import Fraction

import pytest

from inventory.calculations.exact_shares import exact_shares, near_shares
from inventory.calculations.traces import ordered_back, origin_shares


def test_exact_shares_agree_with_the_sweep_in_floats():
    edges = [(None, 1, 7), (None, 2, 11), (1, 3, 5), (2, 3, 8), (3, 4, 6), (1, 4, 2)]
    ordered = ordered_back((*edge, False, "") for edge in edges)
    exact = exact_shares(4, ordered)
    assert sum(exact.values()) == 1
    assert {lot: float(share) for lot, share in exact.items()} == pytest.approx(
        origin_shares(4, ordered)
    )


def test_shares_in_steps_are_a_trace_below_the_exact_ones_at_most():
    edges = [(None, 1, 7), (None, 2, 11), (1, 3, 5), (2, 3, 8), (3, 4, 6), (1, 4, 2)]
    ordered = ordered_back((*edge, False, "") for edge in edges)
    exact, near = exact_shares(4, ordered), near_shares(4, ordered)
    assert near.keys() == exact.keys()
    assert all(0 <= exact[lot] - near[lot] < Fraction(1, 10**36) for lot in exact)


def test_nothing_came_in_so_there_are_no_shares():
    assert exact_shares(1, ordered_back([])) == {}
