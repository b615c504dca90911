"""Bars stand where their values say."""

from hypothesis import given
from hypothesis import strategies as st

from workshop.calculations.bar_charts import bar_chart

VALUES = st.lists(st.floats(0, 1e6), min_size=1, max_size=12)


@given(VALUES)
def test_every_bar_is_as_long_as_its_value_on_the_axis(values):
    chart = bar_chart(values)
    last = chart.ticks[-1]
    assert last.value >= max(values) - 1e-6
    for value, bar in zip(values, chart.bars, strict=True):
        by_axis = value / last.value * (last.x - chart.left)
        assert abs(bar.width - by_axis) < 0.02
        assert bar.end <= chart.width


@given(VALUES)
def test_the_axis_has_at_most_five_ticks_of_equal_steps(values):
    ticks = [tick.value for tick in bar_chart(values).ticks]
    assert ticks[0] == 0
    assert 2 <= len(ticks) <= 6


def test_no_values_make_an_empty_chart():
    assert bar_chart([]).bars == []
