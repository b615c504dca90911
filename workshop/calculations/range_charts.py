"""A chart of ranges: for each row a line from low to high with a mark between, over one axis. Sizes are px."""

from collections.abc import Sequence
from dataclasses import dataclass
from math import ceil, floor, log10

NAME_WIDTH, PLOT_WIDTH, EDGE = 232, 468, 44
ROW_HEIGHT, TOP, BOTTOM = 48, 12, 44
MOST_STEPS = 4
NOTHING = 1e-9


@dataclass(frozen=True)
class Tick:
    """A value of the axis, with the decimals it needs as per cent, and where it stands."""

    value: float
    x: float
    decimals: int


@dataclass(frozen=True)
class Range:
    """A row: the height of its middle, and where its low end, its mark and its high end stand."""

    y: float
    low_x: float
    mark_x: float
    high_x: float


@dataclass(frozen=True)
class RangeChart:
    """The whole chart."""

    width: int
    height: int
    floor_y: float
    ticks: list[Tick]
    ranges: list[Range]


def range_chart(rows: Sequence[tuple[float, float, float]]) -> RangeChart:
    """Return the chart of rows (low, mark, high); its axis has the zero and round steps."""
    ends = [0.0, *(value for row in rows for value in row)]
    step = round_step(max(ends) - min(ends))
    first, last = floor(min(ends) / step + 1e-9), ceil(max(ends) / step - 1e-9)
    last = max(last, first + 1)

    def x(value: float) -> float:
        share = (value / step - first) / (last - first)
        return round(NAME_WIDTH + share * PLOT_WIDTH, 2)

    decimals = max(0, -floor(log10(step * 100) + 1e-9))
    below = TOP + len(rows) * ROW_HEIGHT
    return RangeChart(
        width=NAME_WIDTH + PLOT_WIDTH + EDGE,
        height=below + BOTTOM,
        floor_y=below,
        ticks=[Tick(n * step, x(n * step), decimals) for n in range(first, last + 1)],
        ranges=[
            Range(TOP + (n + 0.5) * ROW_HEIGHT, *(x(value) for value in row))
            for n, row in enumerate(rows)
        ],
    )


def round_step(span: float) -> float:
    """Return a step of 1, 2 or 5 of a power of ten that cuts a span into at most four.

    >>> round_step(1.0), round_step(0.031), round_step(0)
    (0.5, 0.01, 0.1)
    """
    if span < NOTHING:
        return 0.1
    power = 10.0 ** floor(log10(span / MOST_STEPS))
    step = next(n for n in (1, 2, 5, 10) if span / (n * power) <= MOST_STEPS + 1e-9)
    return float(f"{step * power:.12g}")
