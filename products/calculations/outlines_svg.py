"""Outlines out of an SVG: path, polygon, polyline, rect, circle, ellipse, with their transforms.

Parsed with expat and read element by element: a document type with declarations of its own is
refused, so no entity is ever expanded, and nothing outside the file is fetched. Source: SVG 1.1
(W3C, 2011), chapters 7 to 9 and the implementation notes on arcs (F.6). In an SVG y runs down;
outlines are mirrored so that they look as drawn.
"""

import re
from dataclasses import dataclass
from math import cos, hypot, pi, radians, sin, sqrt, tan
from xml.parsers.expat import ExpatError, ParserCreate

from products.calculations.outlines import (
    MM_PER_UNIT,
    MOST_BYTES,
    TOLERANCE_MM,
    Outline,
    OutlineError,
    is_closed,
    outlines_mm,
)
from products.calculations.svg_paths import arc_pieces, guard_drawn, lines_of_path

SHAPES = ("path", "polygon", "polyline", "rect", "circle", "ellipse")
UNSEEN = ("defs", "clipPath", "mask", "symbol", "pattern", "marker", "metadata", "style", "script")
LENGTH = re.compile(r"\s*([+-]?(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d+)?)\s*(mm|cm|in|pt|pc|px|%)?\s*")
SVG_MM = {"mm": 1.0, "cm": 10.0, "in": 25.4, "pt": 25.4 / 72, "pc": 25.4 / 6, "px": 25.4 / 96}
TRANSFORM = re.compile(r"(matrix|translate|scale|rotate|skewX|skewY)\s*\(([^()]*)\)")
NUMBER = re.compile(r"[+-]?(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d+)?")
MOST_DEPTH, MOST_ELEMENTS = 60, 2000
LONGEST_LENGTH = 80  # letters; the pattern tries many ways through a long one
Matrix = tuple[float, float, float, float, float, float]
IDENTITY: Matrix = (1, 0, 0, 1, 0, 0)


def outlines_of_svg(content: bytes, unit: str = "") -> list[Outline]:
    """Return the outlines of an SVG; one user unit is what size and viewBox say, else the unit given.

    Raises OutlineError `file-large`, `file-no-svg`, `file-entities`, `file-unit`,
    `file-many-lines`, `outline-open` and what `outlines_mm` raises.
    """
    if len(content) > MOST_BYTES:
        raise OutlineError("file-large", most=str(MOST_BYTES // 1000))
    reader = _Reader(unit)
    parser = ParserCreate(namespace_separator=" ")
    parser.StartDoctypeDeclHandler = reader.doctype
    parser.EntityDeclHandler = reader.refuse_entities
    parser.StartElementHandler = reader.begin
    parser.EndElementHandler = reader.end
    try:
        parser.Parse(content, True)  # noqa: FBT003 (the parser's own)
    except (ExpatError, ValueError, ArithmeticError) as error:
        if isinstance(error, OutlineError):
            raise
        raise OutlineError("file-no-svg") from error
    if any(not is_closed(line) for line in reader.lines):
        raise OutlineError("outline-open")
    return outlines_mm(reader.lines)


@dataclass
class _Reader:
    """What was read so far: lines in mm, and the transforms of the elements that are open."""

    unit: str

    def __post_init__(self):
        self.lines: list[list[tuple[float, float]]] = []
        self.open: list[Matrix | None] = []
        self.seen = self.drawn = 0

    def doctype(self, _name, _system, _public, has_internal_subset) -> None:
        """Refuse declarations within the file; a mere name of the document type is passed over."""
        if has_internal_subset:
            raise OutlineError("file-entities")

    def refuse_entities(self, *_declared) -> None:
        """Refuse every entity."""
        raise OutlineError("file-entities")

    def begin(self, name: str, attributes: dict[str, str]) -> None:
        """Read an element where it begins."""
        name = name.rpartition(" ")[2]
        self.seen += 1
        if self.seen > MOST_ELEMENTS or len(self.open) > MOST_DEPTH:
            raise OutlineError("file-many-lines", most=str(MOST_ELEMENTS))
        if not self.open:
            self.open.append(self.first(name, attributes))
            return
        above = self.open[-1]
        hidden = name in UNSEEN or attributes.get("display") == "none"
        own = None if above is None or hidden else times(above, matrix_of(attributes))
        self.open.append(own)
        if own and name in SHAPES:
            self.draw(shape_lines(name, attributes, own))
        if own and name == "use":
            raise OutlineError("file-blocks")

    def draw(self, lines: list[list]) -> None:
        """Keep the lines of a shape, while the whole drawing is not too much."""
        self.drawn += sum(map(len, lines))
        guard_drawn(self.drawn)
        self.lines += lines

    def end(self, _name: str) -> None:
        """Leave an element."""
        self.open.pop()

    def first(self, name: str, attributes: dict[str, str]) -> Matrix:
        """Return what one user unit of the whole drawing is in mm, with y up."""
        if name != "svg":
            raise OutlineError("file-no-svg")
        scale = unit_mm(attributes) or MM_PER_UNIT.get(self.unit)
        if scale is None:
            raise OutlineError("file-unit")
        return (scale, 0, 0, -scale, 0, 0)


def unit_mm(attributes: dict[str, str]) -> float | None:
    """Return what one user unit is in mm by width and viewBox, None where they do not say.

    A width without a unit, or in per cent, says nothing of the size of what is drawn.

    >>> unit_mm({"width": "210mm", "viewBox": "0 0 420 594"}), unit_mm({"width": "210"})
    (0.5, None)
    """
    found = length_in(attributes.get("width", ""))
    if not found or found[2] in (None, "%"):
        return None
    width_mm = float(found[1]) * SVG_MM[found[2]]
    box = [float(each) for each in NUMBER.findall(attributes.get("viewBox", ""))]
    if not box:
        return SVG_MM["px"]
    if len(box) != 4 or box[2] <= 0 or width_mm <= 0:  # noqa: PLR2004 (x, y, width, height)
        raise OutlineError("file-no-svg")
    return width_mm / box[2]


def length_in(text: str) -> re.Match | None:
    """Return the number and the unit in a text, None where it is no length."""
    return LENGTH.fullmatch(text) if len(text) <= LONGEST_LENGTH else None


def times(a: Matrix, b: Matrix) -> Matrix:
    """Return the transform that does b first, then a."""
    return (
        a[0] * b[0] + a[2] * b[1],
        a[1] * b[0] + a[3] * b[1],
        a[0] * b[2] + a[2] * b[3],
        a[1] * b[2] + a[3] * b[3],
        a[0] * b[4] + a[2] * b[5] + a[4],
        a[1] * b[4] + a[3] * b[5] + a[5],
    )


def matrix_of(attributes: dict[str, str]) -> Matrix:
    """Return the transform of an element."""
    found = IDENTITY
    for name, text in TRANSFORM.findall(attributes.get("transform", "")):
        numbers = [float(each) for each in NUMBER.findall(text)]
        try:
            found = times(found, TRANSFORMS[name](*numbers))
        except TypeError as error:
            raise OutlineError("file-no-svg") from error
    return found


def rotate(degrees: float, x: float = 0, y: float = 0) -> Matrix:
    """Return the transform that turns about a point."""
    c, s = cos(radians(degrees)), sin(radians(degrees))
    return (c, s, -s, c, x - c * x + s * y, y - s * x - c * y)


TRANSFORMS = {
    "matrix": lambda a, b, c, d, e, f: (a, b, c, d, e, f),
    "translate": lambda x, y=0.0: (1, 0, 0, 1, x, y),
    "scale": lambda x, y=None: (x, 0, 0, x if y is None else y, 0, 0),
    "rotate": rotate,
    "skewX": lambda a: (1, 0, tan(radians(a)), 1, 0, 0),
    "skewY": lambda a: (1, tan(radians(a)), 0, 1, 0, 0),
}


def shape_lines(name: str, attributes: dict[str, str], matrix: Matrix) -> list[list]:
    """Return the lines of a shape in mm."""
    largest = sqrt(abs(matrix[0] * matrix[3] - matrix[1] * matrix[2])) or 1
    largest = max(largest, hypot(matrix[0], matrix[1]), hypot(matrix[2], matrix[3]))
    tolerance = TOLERANCE_MM / largest
    lines = LINES[name](attributes, tolerance)
    return [[moved(matrix, point) for point in line] for line in lines if len(line) > 1]


def moved(matrix: Matrix, point) -> tuple[float, float]:
    """Return a point where a transform takes it."""
    a, b, c, d, e, f = matrix
    return a * point[0] + c * point[1] + e, b * point[0] + d * point[1] + f


def number_of(attributes: dict[str, str], name: str) -> float:
    """Return an attribute as a number of user units, 0 where there is none; in mm and so on it is refused."""
    text = attributes.get(name, "0")
    found = length_in(text)
    if not found or found[2] not in (None, "px"):
        raise OutlineError("file-no-svg")
    return float(found[1])


def polygon_lines(attributes: dict[str, str], _tolerance: float) -> list[list]:
    """Return a polygon as a closed line."""
    points = polyline_lines(attributes, _tolerance)[0]
    return [[*points, *points[:1]]]


def polyline_lines(attributes: dict[str, str], _tolerance: float) -> list[list]:
    """Return a line through points as it is."""
    numbers = [float(each) for each in NUMBER.findall(attributes.get("points", ""))]
    return [list(zip(numbers[::2], numbers[1::2], strict=False))]


def rect_lines(attributes: dict[str, str], tolerance: float) -> list[list]:
    """Return a rectangle, with round corners where it has them."""
    x, y, w, h = (number_of(attributes, name) for name in ("x", "y", "width", "height"))
    rx, ry = number_of(attributes, "rx"), number_of(attributes, "ry")
    rx, ry = min(rx or ry, w / 2), min(ry or rx, h / 2)
    if not rx or not ry:
        return [[(x, y), (x + w, y), (x + w, y + h), (x, y + h), (x, y)]]
    path = (
        f"M{x + rx} {y} h{w - 2 * rx} a{rx} {ry} 0 0 1 {rx} {ry} v{h - 2 * ry}"
        f" a{rx} {ry} 0 0 1 {-rx} {ry} h{2 * rx - w} a{rx} {ry} 0 0 1 {-rx} {-ry}"
        f" v{2 * ry - h} a{rx} {ry} 0 0 1 {rx} {-ry} z"
    )
    return lines_of_path(path, tolerance)


def ellipse_lines(attributes: dict[str, str], tolerance: float) -> list[list]:
    """Return a circle or an ellipse as a many-sided line."""
    cx, cy = number_of(attributes, "cx"), number_of(attributes, "cy")
    rx = number_of(attributes, "r") or number_of(attributes, "rx")
    ry = number_of(attributes, "r") or number_of(attributes, "ry")
    if rx <= 0 or ry <= 0:
        return []
    sides = max(8, arc_pieces(2 * pi, max(rx, ry), tolerance))
    turns = [2 * pi * at / sides for at in range(sides)]
    points = [(cx + rx * cos(turn), cy + ry * sin(turn)) for turn in turns]
    return [[*points, points[0]]]


LINES = {
    "path": lambda attributes, tolerance: lines_of_path(attributes.get("d", ""), tolerance),
    "polygon": polygon_lines,
    "polyline": polyline_lines,
    "rect": rect_lines,
    "circle": ellipse_lines,
    "ellipse": ellipse_lines,
}
