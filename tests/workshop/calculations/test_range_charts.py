"""Charts of ranges: everything stands to the scale of the axis and within it."""

from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from workshop.calculations.range_charts import NAME_WIDTH, PLOT_WIDTH, range_chart, round_step

rows = st.lists(
    st.lists(st.floats(-0.5, 1.5), min_size=3, max_size=3).map(sorted).map(tuple), max_size=12
)


@given(rows)
def test_marks_stand_where_the_axis_says_within_half_a_pixel(found):
    chart = range_chart(found)
    first, last = chart.ticks[0], chart.ticks[-1]
    scale = (last.x - first.x) / (last.value - first.value)
    for values, drawn in zip(found, chart.ranges, strict=True):
        for value, x in zip(values, (drawn.low_x, drawn.mark_x, drawn.high_x), strict=True):
            assert x == pytest.approx(first.x + (value - first.value) * scale, abs=0.5)
            assert NAME_WIDTH - 0.5 <= x <= NAME_WIDTH + PLOT_WIDTH + 0.5


@given(rows)
def test_the_axis_has_the_zero_and_even_steps(found):
    ticks = range_chart(found).ticks
    assert any(abs(tick.value) < 1e-12 for tick in ticks)
    gaps = {round(other.x - one.x) for one, other in pairwise(ticks)}
    assert max(gaps) - min(gaps) <= 1
    assert len(ticks) <= 6


@given(rows)
def test_rows_do_not_touch(found):
    chart = range_chart(found)
    assert all(other.y - one.y >= 40 for one, other in pairwise(chart.ranges))
    assert all(each.y < chart.floor_y < chart.height for each in chart.ranges)


@given(st.floats(1e-9, 1e6))
def test_a_step_is_round_and_cuts_into_at_most_four(span):
    step = round_step(span)
    assert span / step <= 4.0001
    assert f"{step:e}"[0] in "125"


def test_ticks_say_how_many_decimals_they_need():
    assert range_chart([(0.0, 0.0003, 0.0006)]).ticks[1].decimals == 2
    assert range_chart([(0.0, 0.5, 1.0)]).ticks[1].decimals == 0


def test_nothing_gives_an_axis_alone():
    assert range_chart([]).ranges == []
