"""Which time of a run counts as work."""

from datetime import datetime, timedelta

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from workshop.calculations.work_times import HOUR_MS, MINUTE_MS, Moments, work_time

START = datetime(2026, 3, 2, 10, 0)  # noqa: DTZ001 (only differences count)


def at(minutes):
    return START + timedelta(minutes=minutes)


def minutes(moments, until=60, **more):
    found = work_time(moments, at(0), at(until), **more)
    return found.worked_ms / MINUTE_MS, found.basis


def test_without_taps_a_run_works_from_opening_to_closing():
    assert minutes(Moments()) == (60, "opened")
    assert minutes(Moments(cycles=[at(30)])) == (60, "opened")


def test_pauses_do_not_count_and_overlaps_count_once():
    pauses = [(at(10), at(20)), (at(15), at(25)), (at(55), at(90))]
    assert minutes(Moments(pauses=pauses)) == (40, "opened")


def test_taps_count_from_the_first_to_the_last_and_the_first_cycle_too():
    """Hand-worked: taps at 10, 15 and 25 min; 15 min between, and a median cycle of 7.5 before."""
    assert minutes(Moments(cycles=[at(10), at(15), at(25)])) == (22.5, "taps")


def test_a_step_that_began_before_the_first_tap_stands_for_the_first_cycle():
    moments = Moments(cycles=[at(10), at(15)], starts=[("heat", at(4)), ("", at(20))])
    assert minutes(moments) == (16, "taps")


def test_minutes_by_step_and_what_is_in_none():
    starts = [("heat", at(0)), ("press", at(10)), ("", at(12)), ("heat", at(20)), ("", at(26))]
    found = work_time(Moments(starts=starts, pauses=[(at(2), at(4))]), at(0), at(60))
    assert found.steps == (("heat", 14 * MINUTE_MS), ("press", 2 * MINUTE_MS))
    assert (found.slowest, found.worked_ms, found.other_ms) == (
        "heat",
        24 * MINUTE_MS,
        8 * MINUTE_MS,
    )


def test_a_changeover_that_was_paused_for_counts_before_the_register():
    change = (at(5), at(17))
    found = work_time(
        Moments(pauses=[change], changes=[change]), at(0), at(60), changeover_minutes=30
    )
    assert (found.changeover_ms, found.changeover_basis) == (12 * MINUTE_MS, "paused")
    assert found.paid_h * HOUR_MS == 60 * MINUTE_MS


def test_else_the_minutes_of_the_register_count():
    found = work_time(Moments(), at(0), at(60), changeover_minutes=30)
    assert (found.changeover_ms, found.changeover_basis) == (30 * MINUTE_MS, "register")
    assert work_time(Moments(), at(0), at(60)).changeover_basis == ""


def test_a_run_that_was_closed_before_it_was_opened_worked_no_time():
    assert minutes(Moments(), until=-5) == (0, "opened")


@given(st.lists(st.integers(0, 10_000), min_size=2, max_size=30, unique=True))
def test_the_first_cycle_lasts_as_long_as_the_median_of_numpy(seconds):
    """Against numpy's difference and median."""
    taps = [START + timedelta(seconds=each) for each in seconds]
    found = work_time(Moments(cycles=taps), START, at(600))
    between = np.diff(np.sort(seconds))
    assert found.worked_ms == round(1000 * (between.sum() + np.median(between)))
