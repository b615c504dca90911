"""A chart of bars: for each row one bar from zero, over one axis with round steps. Sizes are px."""

from collections.abc import Sequence
from dataclasses import dataclass
from math import ceil, floor, log10

from workshop.calculations.range_charts import (
    BOTTOM,
    EDGE,
    NAME_WIDTH,
    PLOT_WIDTH,
    ROW_HEIGHT,
    TOP,
    Tick,
    round_step,
)

BAR_HEIGHT = 24


@dataclass(frozen=True)
class Bar:
    """One bar: its middle, its top, how wide it is, and where its end stands."""

    y: float
    top: float
    width: float
    end: float


@dataclass(frozen=True)
class BarChart:
    """The whole chart; bars begin at `left`."""

    width: int
    height: int
    left: int
    floor_y: float
    ticks: list[Tick]
    bars: list[Bar]
    bar_height: int = BAR_HEIGHT


def bar_chart(values: Sequence[float]) -> BarChart:
    """Return the chart of some values, none below zero; its axis ends with the first round step beyond them.

    >>> chart = bar_chart([30.0, 12.0])
    >>> [tick.value for tick in chart.ticks], chart.bars[0].width
    ([0.0, 10.0, 20.0, 30.0], 468.0)
    """
    most = max(values, default=0.0)
    step = round_step(most)
    steps = max(1, ceil(most / step - 1e-9))
    per = PLOT_WIDTH / (steps * step)
    decimals = max(0, -floor(log10(step) + 1e-9))
    below = TOP + len(values) * ROW_HEIGHT
    middles = [TOP + (n + 0.5) * ROW_HEIGHT for n in range(len(values))]
    widths = [round(value * per, 2) for value in values]
    return BarChart(
        width=NAME_WIDTH + PLOT_WIDTH + EDGE,
        height=below + BOTTOM,
        left=NAME_WIDTH,
        floor_y=below,
        ticks=[
            Tick(n * step, round(NAME_WIDTH + n * step * per, 2), decimals)
            for n in range(steps + 1)
        ],
        bars=[
            Bar(y, y - BAR_HEIGHT / 2, width, NAME_WIDTH + width)
            for y, width in zip(middles, widths, strict=True)
        ],
    )
