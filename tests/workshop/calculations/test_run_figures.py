"""Yields and gaps over runs, held against numpy's quartiles and the uncertainties library."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from uncertainties import ufloat

from workshop.calculations.run_figures import (
    Quartiles,
    RunFigure,
    gap_rows,
    quartiles,
    yield_rows,
)

figures = st.builds(
    RunFigure,
    design=st.sampled_from(["", "Board", "Hook"]),
    machine=st.sampled_from(["Press", "Saw"]),
    operation=st.just("press"),
    loaded_mg=st.integers(1, 10**9),
    parts_mg=st.integers(0, 10**9),
    gap_mg=st.integers(-(10**6), 10**6),
    variance_mg2=st.floats(0, 1e9),
)


def by_design(figure):
    return figure.design


def by_machine(figure):
    return figure.machine


@given(st.lists(st.floats(0, 2), min_size=4))
def test_quartiles_are_those_of_numpy(shares):
    """numpy's default is Hyndman and Fan's type 7."""
    found = quartiles(shares)
    wanted = np.percentile(shares, [25, 50, 75])
    assert (found.low, found.median, found.high) == pytest.approx(tuple(wanted))


def test_three_runs_have_a_median_and_no_quartiles():
    assert quartiles([0.7, 0.9, 0.8]) == Quartiles(None, 0.8, None)


@given(st.lists(figures, max_size=20))
def test_each_run_that_made_parts_of_a_design_counts_once(found):
    rows = yield_rows(found, by_design)
    made = [figure for figure in found if figure.design and figure.parts_mg]
    assert sum(row.runs for row in rows) == len(made)
    assert sum(row.parts_mg for row in rows) == sum(figure.parts_mg for figure in made)
    assert [row.name for row in rows] == sorted({figure.design for figure in made})


@given(st.lists(figures, min_size=1, max_size=20))
def test_the_uncertainty_of_a_sum_is_that_of_a_library(found):
    """The library `uncertainties` adds independent figures as the GUM does; U = 2 u."""
    for row in gap_rows(found, by_machine):
        mine = [figure for figure in found if figure.machine == row.name]
        total = sum(ufloat(figure.gap_mg, figure.variance_mg2**0.5) for figure in mine)
        assert row.gap_mg == pytest.approx(total.nominal_value)
        assert row.expanded_mg == pytest.approx(2 * total.std_dev, abs=1e-6)


def test_a_gap_is_explained_up_to_its_expanded_uncertainty():
    inside = RunFigure("", "Press", "press", 1000, 900, 20, 100.0)
    outside = RunFigure("", "Press", "press", 1000, 900, 21, 100.0)
    assert (inside.is_within, outside.is_within) == (True, False)
    (row,) = gap_rows([inside, outside], by_machine)
    assert (row.outside, row.runs, row.gap_mg, row.quoted_mg) == (1, 2, 41, 29)
    assert row.share == 0.0205
    assert row.expanded_share == pytest.approx(2 * 200**0.5 / 2000)
    assert not row.is_within


def test_a_run_that_was_loaded_with_nothing_has_no_share():
    assert gap_rows([RunFigure("", "Press", "press", 0, 0, 0, 0.0)], by_machine) == []


def test_shares_of_one_run():
    figure = RunFigure("Board", "Press", "press", 2000, 1900, -20, 0.0)
    assert (figure.yield_share, figure.gap_share) == (0.95, -0.01)
    (row,) = yield_rows([figure], by_design)
    assert (row.share, row.is_few) == (0.95, True)
