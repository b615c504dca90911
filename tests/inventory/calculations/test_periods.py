"""Stretches of days: months, years, their steps and neighbours, held against the standard calendar."""

from calendar import isleap
from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.calculations.periods import (
    MOST_MONTHS,
    Period,
    month_of,
    twelve_months_to,
    year_of,
)

days = st.dates(date(1900, 1, 1), date(2150, 1, 1))


@given(days, st.integers(1, 20_000))
def test_steps_cover_every_day_once(start, length):
    period = Period(start, start + timedelta(days=length))
    steps = period.steps
    assert (steps[0].start, steps[-1].end) == (period.start, period.end)
    assert all(one.end == other.start for one, other in zip(steps, steps[1:], strict=False))
    assert all(step.start < step.end for step in steps)


@given(days, st.integers(1, 20_000))
def test_no_step_reaches_over_the_end_of_its_month_or_year(start, length):
    period = Period(start, start + timedelta(days=length))
    steps = period.steps
    name = "%Y-%m" if period.is_by_month else "%Y"
    if len(steps) > 1:
        assert all(f"{step.start:{name}}" == f"{step.last:{name}}" for step in steps)
    assert not period.is_by_month or len(steps) <= MOST_MONTHS


@given(days)
def test_a_year_has_its_days_and_twelve_months(day):
    year = year_of(day)
    assert (year.end - year.start).days == 365 + isleap(day.year)
    assert len(year.steps) == 12
    assert year.is_by_month


@given(days)
def test_twelve_months_end_with_the_month_of_the_day(day):
    period = twelve_months_to(day)
    assert (len(period.steps), period.end) == (12, month_of(day).end)


@pytest.mark.parametrize(
    ("period", "before", "after"),
    [
        (month_of(date(2026, 3, 9)), month_of(date(2026, 2, 1)), month_of(date(2026, 4, 1))),
        (year_of(date(2026, 3, 9)), year_of(date(2025, 1, 1)), year_of(date(2027, 1, 1))),
        (
            Period(date(2026, 3, 2), date(2026, 3, 9)),
            Period(date(2026, 2, 23), date(2026, 3, 2)),
            Period(date(2026, 3, 9), date(2026, 3, 16)),
        ),
    ],
)
def test_its_neighbours_are_as_long_and_touch_it(period, before, after):
    assert (period.before, period.after) == (before, after)


def test_a_step_says_its_last_day():
    (only,) = month_of(date(2024, 2, 1)).steps
    assert only.last == month_of(date(2024, 2, 1)).last == date(2024, 2, 29)
