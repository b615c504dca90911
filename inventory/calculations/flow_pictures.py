"""The picture of mass flows: boxes in columns, and ribbons between them as wide as their mass.

All ribbons have one scale, so that widths can be compared across the picture; only what would be
thinner than half a pixel is drawn that wide. A ribbon over several columns has a slot of its
own in each, so none runs behind a box. Returns leave on the right, run in lanes below
everything, one inside the other, and come up into their box from below. Sizes are px.
"""

from collections import defaultdict
from collections.abc import Hashable, Sequence
from dataclasses import dataclass
from math import ceil, floor, log10

from inventory.calculations.flow_streams import Stream

BOX_WIDTH, LEAST_HEIGHT = 158, 66
COLUMN_GAP, ROW_GAP, EDGE, LANE_GAP = 48, 12, 6, 6
HIGHEST = 340.0  # of the ribbons that stand in one column
WIDEST_RETURNS = 72.0  # of all returns together, which have to fit below a box
THINNEST = 0.5
LEAST_BAR = 16.0
ABOVE, BELOW = 0, 1
PASSES = (ABOVE, ABOVE, BELOW, BELOW)  # where the slots of passing ribbons stand in a column


@dataclass(frozen=True)
class Spot:
    """A box, or with a stream as its key the slot that a passing ribbon has in a column."""

    key: Hashable
    column: int
    x: float
    y: float
    height: float

    @property
    def right(self) -> float:
        """Its right edge."""
        return self.x + BOX_WIDTH

    @property
    def bottom(self) -> float:
        """Its lower edge."""
        return self.y + self.height

    @property
    def middle(self) -> float:
        """The height of its middle."""
        return self.y + self.height / 2


@dataclass(frozen=True)
class Ribbon:
    """A stream as a shape: filled for a forward one, a line of its width for a return."""

    stream: Stream
    width: float
    path: str


@dataclass(frozen=True)
class FlowPicture:
    """The whole picture, and a bar of its scale that stands on its own, below the first column."""

    width: int
    height: int
    boxes: list[Spot]
    ribbons: list[Ribbon]
    bar: "ScaleBar"


@dataclass(frozen=True)
class ScaleBar:
    """So high is a ribbon of so many mg."""

    mass_mg: int
    x: float
    y: float
    height: float


def flow_picture(columns: Sequence[Sequence[Hashable]], streams: Sequence[Stream]) -> FlowPicture:
    """Return the picture of streams between the boxes of some columns; boxes without one are left out.

    A stream leads to a column further right, a return back to one whose box has no other below it.
    """
    column_of = {key: number for number, keys in enumerate(columns) for key in keys}
    scale = scale_of(columns, streams)
    widths = {stream: width_of(stream, scale) for stream in streams}
    stacks = stacked(columns, streams, column_of)
    spots = placed(stacks, heights(stacks, streams, widths))
    forward = [stream for stream in streams if not stream.is_return]
    ports = ports_of(forward, spots, widths, column_of)
    ribbons = [
        Ribbon(stream, widths[stream], ribbon_path(ports[stream], widths[stream]))
        for stream in forward
    ]
    below = max((spot.bottom for spot in spots.values()), default=0)
    edge = max((spot.right for spot in spots.values()), default=0)
    lanes, right, bottom = returned(
        [stream for stream in streams if stream.is_return], spots, widths, (edge, below)
    )
    boxes = [spot for key, spot in spots.items() if not isinstance(key, tuple)]
    bar = scale_bar(scale, below + ROW_GAP)
    bottom = max(bottom, bar.y + bar.height) + EDGE
    return FlowPicture(ceil(right + EDGE), ceil(bottom), boxes, ribbons + lanes, bar)


def scale_bar(scale: float, y: float) -> ScaleBar:
    """Return a bar of a round mass (1, 2 or 5 of a power of ten) that is at least 16 px high.

    >>> scale_bar(1e-7, 0).mass_mg, scale_bar(1e-7, 0).height
    (200000000, 20.0)
    """
    if not scale:
        return ScaleBar(0, EDGE, y, 0.0)
    power = 10 ** max(0, floor_log10(LEAST_BAR / scale))
    mass_mg = next(n * power for n in (1, 2, 5, 10, 20) if n * power * scale >= LEAST_BAR)
    return ScaleBar(mass_mg, EDGE, y, round(mass_mg * scale, 2))


def floor_log10(number: float) -> int:
    """Return the power of ten at or below a number.

    >>> floor_log10(999.0), floor_log10(1000.0)
    (2, 3)
    """
    return floor(log10(number)) if number > 0 else 0


def width_of(stream: Stream, scale: float) -> float:
    """Return how wide a stream is drawn, in px; `scale` is in px per mg."""
    return round(max(THINNEST, stream.mass_mg * scale), 2)


def scale_of(columns, streams: Sequence[Stream]) -> float:
    """Return px per mg, so that the fullest column and the returns have the room they may take."""
    back_mg = sum(stream.mass_mg for stream in streams if stream.is_return)
    ins, outs = defaultdict(int), defaultdict(int)
    for stream in streams:
        if not stream.is_return:
            outs[stream.source] += stream.mass_mg
            ins[stream.target] += stream.mass_mg
    fullest_mg = max((sum(max(ins[k], outs[k]) for k in keys) for keys in columns), default=0)
    rooms = [(HIGHEST, fullest_mg), (WIDEST_RETURNS, back_mg)]
    return min((room / mg for room, mg in rooms if mg), default=0.0)


def stacked(columns, streams: Sequence[Stream], column_of) -> list[list[Hashable]]:
    """Return what stands in each column from above: its boxes, and a slot (stream, column) for each
    stream that passes it."""
    used = {end for stream in streams for end in stream[:2]}
    stacks = []
    for number, keys in enumerate(columns):
        boxes = [key for key in keys if key in used]
        passing = [
            (stream, number)
            for stream in sorted(streams, key=lambda each: order_of(each, columns, column_of))
            if column_of[stream.source] < number < column_of[stream.target]
        ]
        stacks.append(passing + boxes if PASSES[number] == ABOVE else boxes + passing)
    return stacks


def order_of(stream: Stream, columns, column_of) -> tuple[int, int]:
    """Return the place of a passing stream among others: by where it ends, then by where it begins."""
    return tuple(columns[column_of[end]].index(end) for end in (stream.target, stream.source))


def heights(stacks, streams: Sequence[Stream], widths) -> dict[Hashable, float]:
    """Return the height of each box and slot in px: that of its ribbons, or what its words need."""
    ins, outs = defaultdict(float), defaultdict(float)
    for stream in streams:
        if not stream.is_return:
            outs[stream.source] += widths[stream]
            ins[stream.target] += widths[stream]
    return {
        key: widths[key[0]] if isinstance(key, tuple) else max(LEAST_HEIGHT, ins[key], outs[key])
        for stack in stacks
        for key in stack
    }


def placed(stacks, height_of) -> dict[Hashable, Spot]:
    """Return the place of each box and slot, every column in the middle of the tallest."""
    sums = [sum(height_of[k] for k in stack) + ROW_GAP * max(0, len(stack) - 1) for stack in stacks]
    spots = {}
    for number, stack in enumerate(stacks):
        y = EDGE + (max(sums) - sums[number]) / 2
        for key in stack:
            x = EDGE + number * (BOX_WIDTH + COLUMN_GAP)
            spots[key] = Spot(key, number, x, round(y, 2), round(height_of[key], 2))
            y += height_of[key] + ROW_GAP
    return spots


def ports_of(streams, spots, widths, column_of) -> dict[Stream, list[tuple[float, float]]]:
    """Return the points (x, y of the upper edge) through which each ribbon runs.

    At each edge of a box ribbons stand close together, in the order of where they lead.
    """
    ways = {
        stream: [
            stream.source,
            *((stream, n) for n in range(column_of[stream.source] + 1, column_of[stream.target])),
            stream.target,
        ]
        for stream in streams
    }
    leaving, coming = defaultdict(list), defaultdict(list)
    for stream, way in ways.items():
        leaving[way[0]].append((spots[way[1]].middle, stream))
        coming[way[-1]].append((spots[way[-2]].middle, stream))
    starts, ends = upper_edges(leaving, spots, widths), upper_edges(coming, spots, widths)
    ports = {}
    for stream, way in ways.items():
        points = [(spots[way[0]].right, starts[stream])]
        for slot in way[1:-1]:
            points += [(spots[slot].x, spots[slot].y), (spots[slot].right, spots[slot].y)]
        ports[stream] = [*points, (spots[way[-1]].x, ends[stream])]
    return ports


def upper_edges(sides, spots, widths) -> dict[Stream, float]:
    """Return where each ribbon meets its box: those of a side stand around the middle of the box."""
    edges = {}
    for key, found in sides.items():
        y = spots[key].middle - sum(widths[stream] for _at, stream in found) / 2
        for _at, stream in sorted(found):
            edges[stream] = round(y, 2)
            y += widths[stream]
    return edges


def ribbon_path(points: list[tuple[float, float]], width: float) -> str:
    """Return the shape of a ribbon whose upper edge runs through points, level at each.

    >>> ribbon_path([(0, 0), (10, 4)], 2)
    'M0,0 C5,0 5,4 10,4 V6 C5,6 5,2 0,2 Z'
    """
    lower = [(x, round(y + width, 2)) for x, y in reversed(points)]
    return f"M{points[0][0]},{points[0][1]}{edge(points)} V{lower[0][1]}{edge(lower)} Z"


def edge(points: list[tuple[float, float]]) -> str:
    """Return the curves along some points."""
    path = ""
    for (x, y), (to_x, to_y) in zip(points, points[1:], strict=False):
        half = (x + to_x) / 2
        half = int(half) if half == int(half) else half
        path += f" C{half},{y} {half},{to_y} {to_x},{to_y}"
    return path


def returned(streams, spots, widths, corner) -> tuple[list[Ribbon], float, float]:
    """Return the returns, and how far right and down they reach.

    The upper ones run outside the lower ones, so that none crosses another.
    """
    right, bottom = corner
    order = sorted(streams, key=lambda stream: -spots[stream.source].middle)
    entries = entries_of(order, spots, widths)
    ribbons = []
    for stream in order:
        width = widths[stream]
        x, y = round(right + LANE_GAP + width / 2, 2), round(bottom + LANE_GAP + width / 2, 2)
        right, bottom = right + LANE_GAP + width, bottom + LANE_GAP + width
        source, target = spots[stream.source], spots[stream.target]
        path = f"M{source.right},{round(source.middle, 2)} H{x} V{y} H{entries[stream]} V{target.bottom}"
        ribbons.append(Ribbon(stream, width, path))
    return ribbons, right, bottom


def entries_of(order, spots, widths) -> dict[Stream, float]:
    """Return the x at which each return comes up into its box, the innermost furthest right."""
    taken, entries = defaultdict(float), {}
    for stream in order:
        width, target = widths[stream], spots[stream.target]
        entries[stream] = round(target.right - LANE_GAP - taken[stream.target] - width / 2, 2)
        taken[stream.target] += width + LANE_GAP
    return entries
