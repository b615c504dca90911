"""Which runs worked, and the middle of what they had."""

import numpy as np
import pytest

from workshop.calculations.process_sheets import (
    Outcome,
    best_first,
    charge_of_a_piece_mg,
    middle_of,
    read_in_runs,
    shares_of,
    that_worked,
)


def outcome(key, reject=0, part=900, pieces=10, worked=1000):
    return Outcome(key, worked, pieces, {"part": part, "reject": reject, "leftover": 50})


def keys(runs):
    return [run.key for run in runs]


def test_what_rejects_more_than_the_median_did_not_work():
    # By hand: shares 0, 2, 4, 6 and 8 %; the median is 4 %, which still worked
    runs = [outcome(n, reject=20 * n) for n in range(5)]
    assert keys(that_worked(runs)) == [0, 1, 2]


def test_where_half_of_the_runs_reject_nothing_one_that_rejects_did_not_work():
    assert keys(that_worked([outcome(1), outcome(2), outcome(3, reject=1)])) == [1, 2]


def test_two_runs_have_no_median_to_go_by():
    assert keys(that_worked([outcome(1), outcome(2, reject=500)])) == [1, 2]


def test_runs_without_parts_or_without_a_charge_tell_nothing():
    empty = [outcome(1, pieces=0), outcome(2, worked=0), outcome(3)]
    assert keys(that_worked(empty)) == [3]


def test_the_best_rejects_least_then_makes_most_then_is_newest():
    runs = [outcome(1, reject=9), outcome(2, part=800), outcome(3), outcome(4)]
    assert keys(best_first(runs)) == [4, 3, 2, 1]


@pytest.mark.parametrize("values", [(3.0, 1.0, 4.0, 1.5), (228, 230, 231, 240, 260)])
def test_quartiles_are_those_of_a_common_numerical_library(values):
    # numpy's default ("linear") is Hyndman and Fan's type 7
    found = middle_of(values)
    ends = np.percentile(values, [25, 50, 75])
    assert (found.low, found.median, found.high) == pytest.approx(tuple(ends))


def test_below_four_runs_there_are_no_quartiles_and_below_three_too_few_to_go_by():
    found = middle_of([1.0, 2.0, 3.0])
    assert (found.low, found.high, found.is_few) == (None, None, False)
    assert middle_of([1.0, 2.0]).is_few
    assert middle_of([]) is None


def test_each_run_counts_once_however_often_it_was_read():
    # By hand: medians 230 and 240; over all seven readings it would be 230
    rows = [(1, "melt", 230.0)] * 6 + [(2, "melt", 240.0)]
    assert read_in_runs(rows)["melt"].median == 235.0


def test_shares_are_of_what_was_worked_and_nothing_left_over_is_one():
    found = shares_of([outcome(1, reject=100), outcome(2), outcome(3)])
    assert found["reject"].median == 0
    assert found["part"].median == 0.9
    assert "leftover" not in found


def test_the_charge_of_a_piece_is_what_was_worked_for_it():
    assert charge_of_a_piece_mg([outcome(1), outcome(2, pieces=5)]).median == 150
    assert charge_of_a_piece_mg([]) is None
