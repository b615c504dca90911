"""Figures of a design over time, against numpy's quartiles and hand-worked savings."""

from fractions import Fraction

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from workshop.calculations.cost_trends import (
    COST,
    FIGURES,
    KWH,
    MINUTES,
    OFFCUT,
    RunPoint,
    savings,
    trend_row,
)
from workshop.calculations.rates import Rates
from workshop.calculations.run_costs import Line, RunCost
from workshop.calculations.work_times import MINUTE_MS

KG = 1_000_000
RATES = Rates("EUR", labour_per_h=Fraction(18), per_kwh=Fraction("0.3"), machine_per_h=Fraction(6))
DRAWN = {"power_w": Fraction(4000), "load_share": Fraction(1, 2)}


def cost(material=2, labour=9, pieces=4, good_mg=3 * KG, used_mg=4 * KG, **more):
    lines = [Line("material", material if material is None else Fraction(material))]
    lines += [Line("labour", Fraction(labour))]
    return RunCost("EUR", tuple(lines), pieces, good_mg, Fraction(1), used_mg)


def point(**changes):
    facts = {"worked_ms": 30 * MINUTE_MS, "kwh": Fraction(6), "cost": cost(), "rates": RATES}
    return RunPoint(**facts | {"loaded_mg": 4 * KG, "offcut_mg": KG} | changes)


def test_the_figures_of_a_run_by_hand():
    """Hand-worked: 30 min and 11 EUR for 4 pieces, 6 kWh for 3 kg, 1 kg of offcut out of 4 kg."""
    assert point().figures == {
        MINUTES: Fraction(15, 2),
        KWH: 2,
        COST: Fraction(11, 4),
        OFFCUT: Fraction(1, 4),
    }


def test_what_a_run_does_not_know_is_left_out():
    assert set(point(kwh=None, cost=cost(pieces=0, good_mg=0), loaded_mg=0).figures) == set()
    assert trend_row([point(kwh=None)], KWH) is None


@given(st.lists(st.integers(1, 10**7), min_size=4, max_size=40))
def test_medians_and_quartiles_are_those_of_numpy(times):
    """numpy.percentile's default is Hyndman and Fan's type 7."""
    row = trend_row([point(worked_ms=each) for each in times], MINUTES)
    told = np.percentile([each / MINUTE_MS / 4 for each in times], [25, 50, 75])
    found = [float(each) for each in (row.spread.low, row.spread.median, row.spread.high)]
    assert found == pytest.approx(list(told), rel=1e-9)


def test_quartiles_need_four_runs_and_a_cost_that_is_not_whole_is_counted():
    row = trend_row([point(), point(cost=cost(material=None))], COST)
    assert (row.runs, row.least, row.spread.low) == (2, 1, None)


def test_a_minute_saves_pieces_times_what_a_minute_costs():
    """Hand-worked: 8 pieces in 73 days at (18 + 6 + 2 kW x 0.30) / 60 a minute = 8 x 0.41 x 5 = 16.40."""
    rates = Rates("EUR", RATES.labour_per_h, RATES.per_kwh, **DRAWN, machine_per_h=Fraction(6))
    found = savings([point(rates=rates), point(rates=rates)], 73).minute
    assert (found.amount, found.is_least) == (Fraction("16.4"), False)


def test_without_the_power_a_minute_saves_at_least_that():
    found = savings([point()], 365).minute
    assert (found.amount, found.is_least) == (4 * Fraction(24, 60), True)


def test_a_percent_of_offcut_saves_work_and_the_material_only_where_it_is_lost():
    """Hand-worked: y = 3/4, f = 0.01/0.76 = 1/76; work 9 and a charge of 4 kg at 0.50: 9/76 and 11/76."""
    found = savings([point()], 365)
    assert found.offcut_used_again.amount == Fraction(9, 76)
    assert found.offcut_lost.amount == Fraction(11, 76)


def test_the_smaller_charge_gives_the_same_parts():
    """The other way round: a charge smaller by f, at one point more in parts, gives as much as before."""
    part = savings([point(cost=cost(labour=1, material=0))], 365).offcut_used_again.amount
    assert 4 * KG * (1 - part) * (Fraction(3, 4) + Fraction(1, 100)) == 3 * KG


def test_a_run_without_offcut_saves_none():
    assert savings([point(offcut_mg=0)], 365).offcut_lost.amount == 0


def test_no_more_is_saved_than_there_is_offcut():
    """Hand-worked: 0.5 % of offcut only; f = 0.005 / (0.995 + 0.005)."""
    few = point(offcut_mg=5, loaded_mg=1000, cost=cost(labour=1, material=0, good_mg=995))
    assert savings([few], 365).offcut_used_again.amount == Fraction(5, 1000)


def test_no_runs_save_nothing():
    found = savings([], 0)
    assert {found.minute.amount, found.offcut_lost.amount} == {0}
    assert all(trend_row([], name) is None for name in FIGURES)
