"""The path data of an SVG as lines of straight pieces, in user units.

Source: SVG 1.1 (W3C, 2011), 8.3 for the commands, F.6.5 for the centre of an arc. How many pieces
a Bezier curve needs: the distance of its control points bounds how far a chord is from it
(n = sqrt(d (d - 1) L / (8 tolerance)), d the degree, L the largest second difference).
"""

import re
from dataclasses import dataclass, field
from math import acos, atan2, ceil, cos, hypot, inf, pi, radians, sin, sqrt

from products.calculations.outlines import MOST_DRAWN, OutlineError

TOKEN = re.compile(r"[MmLlHhVvCcSsQqTtAaZz]|[+-]?(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d+)?|[^\s,]")
TAKES = {"M": 2, "L": 2, "H": 1, "V": 1, "C": 6, "S": 4, "Q": 4, "T": 2, "A": 7, "Z": 0}
FLAGS = (3, 4)
MOST_PIECES = 2000


@dataclass
class _Pen:
    """Where the pen is, the lines drawn so far, and the control point that a smooth curve mirrors."""

    tolerance: float
    at: tuple[float, float] = (0.0, 0.0)
    start: tuple[float, float] = (0.0, 0.0)
    mirror: tuple[float, float] | None = None
    of_degree: int = 0
    lines: list[list[tuple[float, float]]] = field(default_factory=list)
    drawn: int = 0

    def go(self, points) -> None:
        """Draw on through points; many curves of many pieces each are refused before all are drawn."""
        self.drawn += len(points)
        guard_drawn(self.drawn)
        if not self.lines or self.lines[-1][-1] != self.at:
            self.lines.append([self.at])
        self.lines[-1] += points
        self.at = points[-1]


def guard_drawn(points: int) -> None:
    """Refuse more points than a whole file may have."""
    if points > MOST_DRAWN:
        raise OutlineError("file-many-lines", most=str(MOST_DRAWN))


def lines_of_path(data: str, tolerance: float) -> list[list[tuple[float, float]]]:
    """Return the lines of path data, no further than the tolerance from its curves.

    Raises OutlineError `file-no-svg` for data that is none and `file-many-lines`.

    >>> lines_of_path("M0 0h4v3z", 0.1)
    [[(0.0, 0.0), (4.0, 0.0), (4.0, 3.0), (0.0, 0.0)]]
    """
    pen = _Pen(tolerance)
    for command, numbers in _commands(data):
        _draw(pen, command, numbers)
    return pen.lines


def _commands(data: str):
    """Yield each command with its numbers; a command is repeated while numbers follow."""
    tokens = TOKEN.findall(data)
    at, command = 0, ""
    while at < len(tokens):
        if tokens[at].upper() in TAKES:
            command, at = tokens[at], at + 1
        elif command.upper() in ("", "Z"):
            raise OutlineError("file-no-svg")
        count = TAKES[command.upper()]
        numbers, at = _numbers(tokens, at, command.upper(), count)
        yield command, numbers
        command = {"M": "L", "m": "l"}.get(command, command)


def _numbers(tokens: list[str], at: int, command: str, count: int) -> tuple[list[float], int]:
    """Return so many numbers from a place on, and the place after them; flags of an arc may stand together."""
    found = []
    while len(found) < count:
        if at >= len(tokens):
            raise OutlineError("file-no-svg")
        is_flag = command == "A" and len(found) in FLAGS
        if is_flag and len(tokens[at]) > 1 and tokens[at][0] in "01":
            tokens[at : at + 1] = [tokens[at][0], tokens[at][1:]]
        try:
            found.append(float(tokens[at]))
        except ValueError as error:
            raise OutlineError("file-no-svg") from error
        at += 1
    return found, at


def _draw(pen: _Pen, command: str, numbers: list[float]) -> None:
    """Do one command; a small letter counts from where the pen is."""
    upper = command.upper()
    x, y = pen.at if command.islower() else (0.0, 0.0)
    if upper == "Z":
        if pen.at != pen.start:
            pen.go([pen.start])
        pen.mirror = None
        return
    if upper == "A":
        numbers = [*numbers[:5], numbers[5] + x, numbers[6] + y]
    elif upper in "HV":
        along = (numbers[0] + x, pen.at[1]) if upper == "H" else (pen.at[0], numbers[0] + y)
        upper, numbers = "L", list(along)
    else:
        numbers = [each + (y if at % 2 else x) for at, each in enumerate(numbers)]
    DRAWS[upper](pen, numbers)


def _move(pen: _Pen, numbers: list[float]) -> None:
    pen.at = pen.start = (numbers[0], numbers[1])
    pen.lines.append([pen.at])
    pen.mirror = None


def _line(pen: _Pen, numbers: list[float]) -> None:
    pen.go([(numbers[0], numbers[1])])
    pen.mirror = None


def _curve(pen: _Pen, numbers: list[float]) -> None:
    """Draw a Bezier curve of degree 2 or 3 through its control points."""
    points = [pen.at, *zip(numbers[::2], numbers[1::2], strict=True)]
    pen.go(flattened(points, pen.tolerance))
    (cx, cy), (ex, ey) = points[-2], points[-1]
    pen.mirror, pen.of_degree = (2 * ex - cx, 2 * ey - cy), len(points) - 1


def _smooth(degree: int):
    def draw(pen: _Pen, numbers: list[float]) -> None:
        is_on = pen.mirror is not None and pen.of_degree == degree
        _curve(pen, [*(pen.mirror if is_on else pen.at), *numbers])

    return draw


def flattened(points, tolerance: float) -> list[tuple[float, float]]:
    """Return the points of a Bezier curve after the first, close enough to each other."""
    degree = len(points) - 1
    bend = max(
        hypot(a[0] - 2 * b[0] + c[0], a[1] - 2 * b[1] + c[1])
        for a, b, c in zip(points, points[1:], points[2:], strict=False)
    )
    pieces = _pieces(sqrt(degree * (degree - 1) * bend / (8 * tolerance)))
    return [_bezier(points, at / pieces) for at in range(1, pieces + 1)]


def _pieces(wanted: float) -> int:
    if not wanted <= MOST_PIECES:
        raise OutlineError("file-many-lines", most=str(MOST_PIECES))
    return max(1, ceil(wanted))


def arc_pieces(turn: float, radius: float, tolerance: float) -> int:
    """Return into how many chords an arc is cut, so that none is further from it than the tolerance.

    >>> arc_pieces(2 * pi, 10, 0.05)
    32
    """
    step = 2 * acos(max(0.0, 1 - tolerance / radius))
    return _pieces(abs(turn) / step if step else inf)


def _bezier(points, t: float) -> tuple[float, float]:
    """Return the point of a curve by halving between its control points (de Casteljau)."""
    while len(points) > 1:
        points = [
            (a[0] + (b[0] - a[0]) * t, a[1] + (b[1] - a[1]) * t)
            for a, b in zip(points, points[1:], strict=False)
        ]
    return points[0]


def _arc(pen: _Pen, numbers: list[float]) -> None:
    """Draw an elliptical arc to a point (F.6.5); radii that are too small are made large enough (F.6.6)."""
    rx, ry, angle, is_large, is_positive, ex, ey = numbers
    rx, ry = abs(rx), abs(ry)
    pen.mirror = None
    if not rx or not ry or (ex, ey) == pen.at:
        pen.go([(ex, ey)])
        return
    c, s = cos(radians(angle)), sin(radians(angle))
    dx, dy = (pen.at[0] - ex) / 2, (pen.at[1] - ey) / 2
    x, y = c * dx + s * dy, -s * dx + c * dy
    grown = sqrt(max(1.0, (x / rx) ** 2 + (y / ry) ** 2))
    rx, ry = rx * grown, ry * grown
    part = (rx * y) ** 2 + (ry * x) ** 2
    root = sqrt(max(0.0, (rx * ry) ** 2 / part - 1)) * (-1 if is_large == is_positive else 1)
    mx, my = root * rx * y / ry, -root * ry * x / rx
    first = atan2((y - my) / ry, (x - mx) / rx)
    turn = atan2((-y - my) / ry, (-x - mx) / rx) - first
    turn += 2 * pi if is_positive and turn < 0 else -2 * pi if not is_positive and turn > 0 else 0
    centre = (c * mx - s * my + (pen.at[0] + ex) / 2, s * mx + c * my + (pen.at[1] + ey) / 2)
    pieces = arc_pieces(turn, max(rx, ry), pen.tolerance)
    angles = [first + turn * at / pieces for at in range(1, pieces)]
    points = [(rx * cos(each), ry * sin(each)) for each in angles]
    pen.go([(c * a - s * b + centre[0], s * a + c * b + centre[1]) for a, b in points] + [(ex, ey)])


DRAWS = {
    "M": _move,
    "L": _line,
    "C": _curve,
    "Q": _curve,
    "S": _smooth(3),
    "T": _smooth(2),
    "A": _arc,
}
