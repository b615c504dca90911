from math import ceil, sqrt

import pytest
from hypothesis import given
from hypothesis import strategies as st
from uncertainties import ufloat

from inventory.calculations.weighing import (
    combined_uncertainty,
    expanded,
    judge_gap,
    net_uncertainty,
    quoted,
    quoted_beside,
    resolution_uncertainty,
    standard_uncertainty,
    sum_uncertainty,
)

# University of Tartu, "Uncertainty of Simple Weighing": 0.3240 g, repeatability 0.00017 g,
# drift +-0.0002 g, readability +-0.00005 g; the combined value to 15 digits.
TARTU = 0.000207525098883645

small = st.floats(1e-6, 1e6)


def test_the_published_weighing_example_is_reproduced():
    u = combined_uncertainty(
        repeatability=0.00017, drift_half_width=0.0002, readability_half_width=0.00005
    )
    assert u == pytest.approx(TARTU, rel=0, abs=1e-15)


def test_a_propagation_library_reproduces_the_published_example():
    """The package `uncertainties` agrees with the published value, so the check is sound."""
    mass = ufloat(0.3240, 0.00017) + ufloat(0, 0.0002 / sqrt(3)) + ufloat(0, 0.00005 / sqrt(3))
    assert mass.std_dev == pytest.approx(TARTU, rel=0, abs=1e-15)


def test_a_resolution_is_a_rectangle():
    """D. Shah, article on resolution in uncertainty budgets: 0.001 gives 0.0002887."""
    assert resolution_uncertainty(0.001) == pytest.approx(0.0002887, abs=1e-7)


def test_repeats_narrow_the_repeatability_alone():
    assert combined_uncertainty(repeatability=6, repeats=4) == pytest.approx(3)
    assert combined_uncertainty(0, repeats=4, drift_half_width=sqrt(3)) == pytest.approx(1)


@given(small)
def test_a_net_mass_is_gross_minus_tare(resolution):
    """Against the package `uncertainties`."""
    gross = ufloat(30, resolution_uncertainty(resolution))
    tare = ufloat(5, resolution_uncertainty(resolution))
    assert net_uncertainty(resolution) == pytest.approx((gross - tare).std_dev)


@given(st.lists(small, min_size=1, max_size=20))
def test_a_sum_of_masses_adds_squares(uncertainties):
    """Against the package `uncertainties`."""
    total = sum(ufloat(1, u) for u in uncertainties)
    assert sum_uncertainty(uncertainties) == pytest.approx(total.std_dev)


def test_no_weighings_leave_no_uncertainty():
    assert sum_uncertainty([]) == 0


def test_pieces_booked_by_count_share_one_error():
    """Against the package `uncertainties`: 20 times one weighed piece, gross minus tare."""
    reading = resolution_uncertainty(1_000)
    piece = ufloat(30_000, reading) - ufloat(5_000, reading)
    u = standard_uncertainty(resolution_mg=1_000, readings=2, count=20)
    assert u == pytest.approx((20 * piece).std_dev)


def test_one_reading_is_the_resolution_alone():
    assert standard_uncertainty(resolution_mg=10_000) == resolution_uncertainty(10_000)


def test_five_net_weighings_of_ten_grams_give_18_grams():
    """Worked by hand after JCGM 100: u = 10 / (2 sqrt 3) * sqrt(2 * 5) = 9.13 g, U = 18.3 g."""
    u = sum_uncertainty([net_uncertainty(10)] * 5)
    assert u == pytest.approx(9.13, abs=0.005)
    assert expanded(u) == pytest.approx(18.3, abs=0.05)


def test_a_quarter_kilogram_is_no_weighing_noise():
    gap = judge_gap(
        in_mg=25_000_000, out_mg=24_750_000, uncertainties_mg=[net_uncertainty(10_000)] * 5
    )
    assert gap.gap_mg == 250_000
    assert gap.gap_mg / gap.expanded_mg == pytest.approx(13.7, abs=0.05)
    assert not gap.within


def test_a_gap_as_wide_as_its_uncertainty_closes():
    assert judge_gap(in_mg=110, out_mg=100, uncertainties_mg=[3, 4]).within
    assert not judge_gap(in_mg=111, out_mg=100, uncertainties_mg=[3, 4]).within


def test_more_out_than_in_is_judged_alike():
    assert judge_gap(in_mg=100, out_mg=110, uncertainties_mg=[3, 4]).within
    surplus = judge_gap(in_mg=100, out_mg=111, uncertainties_mg=[3, 4])
    assert (surplus.gap_mg, surplus.within) == (-11, False)


def test_without_uncertainty_only_no_gap_closes():
    assert judge_gap(in_mg=100, out_mg=100, uncertainties_mg=[]).within
    assert not judge_gap(in_mg=100, out_mg=99, uncertainties_mg=[]).within


@pytest.mark.parametrize(
    ("readings", "steps", "told_g"),
    [
        (11, 2, 19.2),  # U = 19.149 g, to two digits 20: the gap would read as explained
        (26, 3, 29.5),
        (11, 1, 20),
        (3, 1, 10),  # U = one step exactly
        (2, 1, 8.2),
    ],
)
def test_what_the_scales_explain_is_told_on_the_side_of_the_gap_that_it_lies_on(
    readings, steps, told_g
):
    """U = 2 sqrt(n) d / (2 sqrt 3) (JCGM 100, 4.3.7, 5.1.2), d = 10 g; more digits where two mislead (7.2.6)."""
    each = [ceil(1000 * resolution_uncertainty(10_000)) / 1000] * readings  # as the book keeps it
    gap = judge_gap(in_mg=10_000 * steps, out_mg=0, uncertainties_mg=each)
    told_mg = quoted_beside(gap.expanded_mg, gap.gap_mg)
    assert told_mg == told_g * 1000
    assert (gap.gap_mg <= told_mg) is gap.within


@pytest.mark.parametrize(
    ("uncertainty", "told"),
    [(28_050, 28_000), (10_470, 11_000), (10_000.002, 10_000), (8_165, 8_200)],
)
def test_an_uncertainty_is_rounded_up_with_common_sense(uncertainty, told):
    """JCGM 100, 7.2.6: 10.47 might be rounded up to 11, but 28.05 should be rounded down to 28."""
    assert quoted(uncertainty) == told


@given(st.floats(0, 1e9), st.integers(0, 10**9))
def test_no_gap_reads_explained_that_is_not(uncertainty, figure):
    told = quoted_beside(uncertainty, figure)
    assert (figure <= told) is (figure <= uncertainty)
    assert abs(told - uncertainty) <= max(1, 0.1 * uncertainty)
