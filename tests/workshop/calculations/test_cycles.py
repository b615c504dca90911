"""Statistics of cycles, against a general numerical library and worked examples."""

from datetime import UTC, datetime, timedelta

import numpy
import pytest
from hypothesis import given
from hypothesis import strategies as st

from workshop.calculations.cycles import (
    clock_text,
    cycle_statistics,
    cycle_times_s,
    spread_of,
    step_times_s,
    worked_s,
)

TEN = datetime(2026, 3, 2, 10, 0, tzinfo=UTC)
times = st.lists(st.floats(min_value=0.1, max_value=10_000), min_size=4, max_size=60)


def at(seconds):
    return TEN + timedelta(seconds=seconds)


@given(times)
def test_median_and_quartiles_are_those_of_numpy(times_s):
    """numpy.percentile with its default method "linear", which is Hyndman and Fan's type 7."""
    spread = spread_of(times_s)
    low, middle, high = numpy.percentile(times_s, [25, 50, 75], method="linear")
    found = (spread.low_s, spread.median_s, spread.high_s)
    assert found == pytest.approx((low, middle, high), rel=1e-12)


def test_the_quartiles_are_those_of_the_language_r():
    """quantile(c(7, 15, 36, 39, 40, 41), type = 7) gives 20.25, 37.5 and 39.75."""
    spread = spread_of([7, 15, 36, 39, 40, 41])
    assert (spread.low_s, spread.median_s, spread.high_s) == (20.25, 37.5, 39.75)


def test_three_times_have_a_median_and_no_quartiles():
    spread = spread_of([40.0, 50.0, 45.0])
    assert (spread.median_s, spread.low_s, spread.high_s) == (45.0, None, None)


@pytest.mark.parametrize(("number", "is_few"), [(7, True), (8, False)])
def test_fewer_than_eight_times_are_few(number, is_few):
    assert spread_of([1.0] * number).is_few is is_few


def test_no_times_have_no_spread():
    assert spread_of([]) is None


def test_one_tap_has_no_time():
    assert cycle_times_s([at(0)]) == []


def test_times_are_those_between_taps_in_the_order_of_the_workshop():
    assert cycle_times_s([at(100), at(0), at(40)]) == [40.0, 60.0]


def test_a_pause_between_taps_is_taken_out():
    assert cycle_times_s([at(0), at(100)], [(at(20), at(50))]) == [70.0]


def test_of_a_pause_only_what_lies_between_the_taps_is_taken_out():
    assert cycle_times_s([at(0), at(100)], [(at(-50), at(10)), (at(90), at(400))]) == [80.0]


def test_pauses_that_overlap_are_taken_out_once():
    assert worked_s(at(0), at(100), [(at(10), at(60)), (at(20), at(30)), (at(50), at(70))]) == 40.0


spans = st.lists(st.tuples(st.integers(-50, 150), st.integers(0, 60)), max_size=8)


@given(spans)
def test_worked_seconds_are_those_outside_every_pause(pairs):
    """Against counting each second by itself."""
    pauses = [(at(begin), at(begin + length)) for begin, length in pairs]
    paused = {second for begin, length in pairs for second in range(begin, begin + length)}
    assert worked_s(at(0), at(100), pauses) == len(set(range(100)) - paused)


def test_a_step_ends_with_the_next_and_with_a_stop():
    starts = [("heat", at(0)), ("press", at(90)), ("", at(120)), ("heat", at(500))]
    assert step_times_s(starts) == {"heat": [90.0], "press": [30.0]}


def test_a_pause_within_a_step_is_taken_out():
    assert step_times_s([("heat", at(0)), ("", at(90))], [(at(10), at(40))]) == {"heat": [60.0]}


def test_the_slowest_step_is_that_with_the_largest_median():
    starts = [("heat", at(0)), ("cool", at(10)), ("heat", at(70)), ("cool", at(170)), ("", at(220))]
    slowest = cycle_statistics([], starts).slowest
    assert (slowest.name, slowest.times.median_s, slowest.times.n) == ("heat", 55.0, 2)


def test_the_pace_is_that_of_the_time_worked():
    """Four pieces a shot, a shot each 60 s: 240 pieces in an hour, whatever the pause."""
    taps = [(at(0), 4), (at(60), 4), (at(420), 4)]
    assert cycle_statistics(taps, [], [(at(60), at(360))]).pieces_per_hour == pytest.approx(240)


def test_pieces_are_those_of_every_cycle():
    found = cycle_statistics([(at(0), 4), (at(60), 2)])
    assert (found.cycles, found.pieces) == (2, 6)


def test_nothing_counted_has_no_pace_and_no_slowest_step():
    found = cycle_statistics([])
    assert (found.cycles, found.times, found.pieces_per_hour, found.slowest) == (
        0,
        None,
        None,
        None,
    )


def test_two_taps_at_one_moment_have_no_pace():
    assert cycle_statistics([(at(0), 1), (at(0), 1)]).pieces_per_hour is None


def test_a_clock_never_runs_below_zero():
    assert clock_text(-3) == "0:00"
