"""The picture of a trace: lots as boxes in layers, transfers as lines as wide as their mass.

Lots may be taken together (all that stood in one bin, all of one month); then a group can
come from what it gave to, and such a line is drawn as a return, against the others.
"""

from collections import defaultdict
from collections.abc import Hashable, Mapping, Sequence
from dataclasses import dataclass

from inventory.calculations.layouts import layered

BOX_WIDTH, BOX_HEIGHT = 248, 56
COLUMN, ROW = 320, 72  # px from box to box
EDGE = 16
WIDEST, THINNEST = 12.0, 1.5


@dataclass(frozen=True)
class Box:
    """A lot, or lots taken together, at a place in px."""

    key: Hashable
    members: tuple[Hashable, ...]
    x: float
    y: float


@dataclass(frozen=True)
class Line:
    """Mass in mg from a box to a box, as an SVG path of a width in px."""

    source: Hashable
    target: Hashable
    mass_mg: int
    path: str
    width: float
    is_return: bool = False


@dataclass(frozen=True)
class FamilyTree:
    """The whole picture, in px."""

    width: int
    height: int
    boxes: list[Box]
    lines: list[Line]


def family_tree(
    edges: Sequence[tuple], group_of: Mapping[Hashable, Hashable], *, order: Sequence[Hashable]
) -> FamilyTree:
    """Return the picture of transfers (source, target, mass in mg, ...) between lots.

    `order` names every lot, each after those it took from; `group_of` gives the box of a
    lot that is not its own. What comes from outside has no line.
    """
    own = {lot: group_of.get(lot, lot) for lot in order}
    members = defaultdict(list)
    for lot in order:
        members[own[lot]].append(lot)
    masses = defaultdict(int)
    for edge in edges:
        if edge[0] is not None and own[edge[0]] != own[edge[1]]:
            masses[own[edge[0]], own[edge[1]]] += edge[2]
    rank = {key: at for at, key in enumerate(members)}
    forward = {pair: rank[pair[0]] < rank[pair[1]] for pair in masses}
    pairs = [pair if forward[pair] else pair[::-1] for pair in masses]
    drawing = layered(list(members), pairs)
    boxes = [Box(key, tuple(members[key]), *corner(spot)) for key, spot in drawing.spots.items()]
    widest = max(masses.values(), default=1)
    lines = [
        Line(*pair, mass_mg, curve(points), stroke(mass_mg, widest), not forward[pair])
        for (pair, mass_mg), points in zip(masses.items(), drawing.lines, strict=True)
    ]
    width = max((box.x for box in boxes), default=0) + BOX_WIDTH + EDGE
    height = max((box.y for box in boxes), default=0) + BOX_HEIGHT + EDGE
    return FamilyTree(round(width), round(height), boxes, lines)


def corner(spot: tuple[int, float]) -> tuple[float, float]:
    """Return the upper left corner of a box, in px."""
    return EDGE + spot[0] * COLUMN, round(EDGE + spot[1] * ROW, 1)


def stroke(mass_mg: int, widest_mg: int) -> float:
    """Return the width of a line in px, in proportion to its mass but never too thin to see."""
    return round(max(THINNEST, WIDEST * mass_mg / widest_mg), 1)


def curve(points: Sequence[tuple[int, float]]) -> str:
    """Return an SVG path through points of a drawing, level where it leaves and meets a box.

    >>> curve([(0, 0.0), (1, 0.0)])
    'M264,44.0 C300,44.0 300,44.0 336,44.0'
    """
    middles = [(corner(point)[0], round(corner(point)[1] + BOX_HEIGHT / 2, 1)) for point in points]
    path = f"M{middles[0][0] + BOX_WIDTH},{middles[0][1]}"
    for number, ((x, y), (next_x, next_y)) in enumerate(zip(middles, middles[1:], strict=False)):
        start = x + BOX_WIDTH
        half = (next_x - start) // 2
        path += f" C{start + half},{y} {next_x - half},{next_y} {next_x},{next_y}"
        if number + 2 < len(middles):
            path += f" L{next_x + BOX_WIDTH},{next_y}"
    return path
