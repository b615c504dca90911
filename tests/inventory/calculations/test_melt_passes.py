"""Figures of melt passes, against the closed forms of a geometric series."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.calculations.melt_passes import mixed_passes, pass_figures

weights = st.dictionaries(st.integers(0, 9), st.integers(1, 1000), min_size=1)


def distribution(weights):
    whole = sum(weights.values())
    return {times: weight / whole for times, weight in weights.items()}


def constant_regrind(r, cycles):
    """A fraction r of each charge is regrind of the last one: (1 - r) r^n with n earlier passes."""
    shares = {n: (1 - r) * r**n for n in range(cycles)}
    return shares | {cycles: r**cycles}


# C12, heat history: with r = 0.25 the shares are 75 / 18.75 / 4.69 / 1.17 / 0.29 %, the mean r/(1 - r)
# and the share with at least n passes r^n (sum of a geometric series).
@pytest.mark.parametrize(("r", "mean"), [(0.25, 1 / 3), (0.8, 4)])
def test_constant_regrind_has_the_mean_and_the_tails_of_the_series(r, mean):
    figures = pass_figures(constant_regrind(r, 200))
    assert figures.mean == pytest.approx(mean, abs=1e-9)
    assert figures.share_from(3) == pytest.approx(r**3)
    assert figures.share_from(1) == pytest.approx(r)


@given(weights)
def test_the_mean_is_the_sum_of_the_tails(weights):
    """E(n) = sum of P(n >= k), k from 1 on: a law of whole numbers that the mean does not use."""
    figures = pass_figures(distribution(weights))
    assert figures.mean == pytest.approx(sum(share for _n, share in figures.from_times))
    assert [n for n, _share in figures.from_times] == list(range(1, max(weights) + 1))


def test_nothing_melted_has_no_passes():
    figures = pass_figures({0: 1.0}, last=9)
    assert (figures.mean, figures.most, figures.from_times, figures.is_open) == (0, 0, (), False)
    assert (figures.share_from(0), figures.share_from(1)) == (1.0, 0.0)


def test_an_empty_lot_has_none():
    assert pass_figures({}).most == 0


@pytest.mark.parametrize(("most", "is_open"), [(8, False), (9, True)])
def test_the_last_number_stands_for_all_beyond_it(most, is_open):
    assert pass_figures({0: 0.5, most: 0.5}, last=9).is_open == is_open


@given(weights, weights, st.integers(1, 10**9), st.integers(1, 10**9))
def test_a_mixture_lies_between_its_parts(first, second, first_mg, second_mg):
    parts = [distribution(first), distribution(second)]
    mixed = pass_figures(mixed_passes(list(zip((first_mg, second_mg), parts, strict=True))))
    for times in range(1, 10):
        ends = [pass_figures(part).share_from(times) for part in parts]
        assert min(ends) - 1e-9 <= mixed.share_from(times) <= max(ends) + 1e-9


def test_what_has_no_mass_adds_nothing():
    assert mixed_passes([(0, {5: 1.0}), (2, {0: 1.0})]) == {0: 1.0}


@pytest.mark.parametrize(
    ("passes", "is_even"),
    [
        ({1: 1.0}, True),
        ({2: 0.1 + 0.2 + 0.7}, True),  # 0.9999999999999999
        ({0: 1.0}, False),
        ({0: 1e-9, 1: 1 - 1e-9}, False),  # a milligram in a tonne is not all of it
        ({1: 0.5, 2: 0.5}, False),
    ],
)
def test_only_what_was_all_melted_equally_often_is_even(passes, is_even):
    assert pass_figures(passes).is_even == is_even


def test_what_may_have_been_melted_oftener_is_not_even():
    assert not pass_figures({3: 1.0}, last=3).is_even
