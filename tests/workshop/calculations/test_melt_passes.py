"""Melt passes against the geometric distribution, and charges mixed cycle by cycle."""

import pytest
from scipy.stats import geom

from workshop.calculations.melt_passes import (
    MELT_PASSES,
    mean_passes,
    melt_passes,
    shares_after,
)


@pytest.mark.parametrize("regrind", [0.05, 0.25, 0.8])
def test_the_shares_are_those_of_a_geometric_distribution(regrind):
    expected = [geom.pmf(n + 1, 1 - regrind) for n in range(5)]
    assert shares_after(regrind=regrind) == pytest.approx(expected, rel=1e-12)
    assert mean_passes(regrind=regrind) == pytest.approx(geom.mean(1 - regrind) - 1)
    found = melt_passes(regrind_percent=100 * regrind)
    assert found.at_least_percent == pytest.approx(100 * geom.sf(5, 1 - regrind))


def test_a_quarter_of_regrind():
    """Exact series: 75 / 18.75 / 4.69 / 1.17 / 0.29 %, mean 1/3."""
    found = melt_passes(regrind_percent=25)
    assert found.shares_percent == pytest.approx((75, 18.75, 4.69, 1.17, 0.29), abs=5e-3)
    assert found.mean == pytest.approx(1 / 3)


@pytest.mark.parametrize("cycles", [1, 2, 3, 6])
def test_charges_mixed_cycle_by_cycle_give_the_same(cycles):
    shares = [1.0] + [0.0] * 9
    for _ in range(cycles - 1):
        shares = [0.7] + [0.3 * each for each in shares[:-1]]
    assert shares_after(regrind=0.3, cycles=cycles) == pytest.approx(shares[:5])
    expected = sum(n * share for n, share in enumerate(shares))
    assert mean_passes(regrind=0.3, cycles=cycles) == pytest.approx(expected)


def test_passes_of_the_fresh_material_are_added():
    asked = {"regrind_percent": 25, "cycles": None}
    values = MELT_PASSES.answer(asked | {"before": 2}).values
    assert values["mean"] == pytest.approx(2 + 1 / 3)


@pytest.mark.parametrize(("before", "codes"), [(2.6, []), (2.7, ["many"]), (5, ["many"])])
def test_what_was_melted_often_before_counts_as_many_too(before, codes):
    """The limit is a mean of three, and a quarter of regrind adds 1/3: the page must not say 5.3 in silence."""
    found = MELT_PASSES.answer({"regrind_percent": 25, "cycles": None, "before": before})
    assert [note.code for note in found.notes] == codes


@pytest.mark.parametrize(
    ("percent", "codes"), [(25, []), (26, ["above-cap"]), (80, ["above-cap", "many"])]
)
def test_much_regrind_is_noted(percent, codes):
    assert [note.code for note in melt_passes(regrind_percent=percent).notes] == codes
