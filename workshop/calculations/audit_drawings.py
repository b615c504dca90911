"""What is drawn on the paper of an audit file: the picture of the trace, and the square code.

Lengths are in points; the picture comes in px and is stretched to the width of the page, its
text is not.
"""

import re
from collections.abc import Mapping
from dataclasses import dataclass

from reportlab.graphics.shapes import Drawing, Path, Rect, String
from reportlab.lib.colors import HexColor, white
from reportlab.lib.utils import simpleSplit
from reportlab.pdfbase.pdfmetrics import stringWidth

from inventory.calculations.family_trees import BOX_HEIGHT, BOX_WIDTH, COLUMN, ROW
from products.calculations.label_fonts import ELLIPSIS, PLAIN, STRONG, clean, face
from products.calculations.papers import HAIRLINE, INK, SOFT, WIDTH
from products.calculations.qr_codes import QUIET_MODULES, qr_matrix

TALLEST = 600  # points that the frame of a page has room for
LAYER_WIDTH, LAYER_HEIGHT = 150, 62  # at most, from layer to layer, across and down
ROW_WIDTH, ROW_HEIGHT = 90, 40  # at most, from box to box within a layer
NAME_SIZE, NOTE_SIZE, LEADING = 6.2, 5.8, 7
PAD, SWATCH = 2.5, 4.5
NAME_LINES = 2
TENTHS = 10
STEP = re.compile("([MCL])([^MCL]*)")


@dataclass(frozen=True)
class Placing:
    """How px of a picture become points on paper; a picture that runs down has its axes exchanged."""

    across: float
    down: float
    top: float
    is_down: bool

    def point(self, x: float, y: float) -> tuple[float, float]:
        """Return the place of a point."""
        x, y = (y, x) if self.is_down else (x, y)
        return x * self.across, self.top - y * self.down

    def size(self) -> tuple[float, float]:
        """Return the width and height of a box."""
        width, height = (BOX_HEIGHT, BOX_WIDTH) if self.is_down else (BOX_WIDTH, BOX_HEIGHT)
        return width * self.across, height * self.down

    def stroke(self) -> float:
        """Return how many points a px of a line's width is."""
        return min(self.across, self.down, 0.4)


def placing(picture: Mapping) -> Placing:
    """Return how a picture is fitted to the width and height that a page has."""
    is_down = picture["is_down"]
    long, short = picture["width"], picture["height"]
    if is_down:
        across, down = (
            min(WIDTH / short, ROW_WIDTH / ROW),
            min(TALLEST / long, LAYER_HEIGHT / COLUMN),
        )
        return Placing(across, down, long * down, is_down)
    across, down = min(WIDTH / long, LAYER_WIDTH / COLUMN), min(TALLEST / short, ROW_HEIGHT / ROW)
    return Placing(across, down, short * down, is_down)


def trace_drawing(picture: Mapping) -> Drawing:
    """Return the picture of a trace over the width of the page."""
    for name in (PLAIN, STRONG):
        face(name)
    place = placing(picture)
    drawing = Drawing(WIDTH, place.top)
    for line in picture["lines"]:
        drawing.add(curve(line, place))
    for box in picture["boxes"]:
        for shape in box_shapes(box, place):
            drawing.add(shape)
    return drawing


def curve(line: Mapping, place: Placing) -> Path:
    """Return a line as wide as its mass; what comes back is dashed."""
    path = Path(fillColor=None, strokeColor=HAIRLINE)
    path.strokeWidth = max(0.4, line["width"] / TENTHS * place.stroke())
    path.strokeDashArray = [3, 2] if line["is_return"] else None
    for step, text in STEP.findall(line["path"]):
        numbers = [float(number) for number in re.findall(r"-?[\d.]+", text)]
        pairs = zip(numbers[::2], numbers[1::2], strict=True)
        points = [number for pair in pairs for number in place.point(*pair)]
        {"M": path.moveTo, "L": path.lineTo, "C": path.curveTo}[step](*points)
    return path


def box_shapes(box: Mapping, place: Placing) -> list:
    """Return a box with its swatch, its name in at most two lines, and its note."""
    width, height = place.size()
    left, top = place.point(box["x"] / TENTHS, box["y"] / TENTHS)
    frame = Rect(left, top - height, width, height)
    frame.fillColor, frame.strokeColor, frame.strokeWidth = white, INK, 0.5
    shapes = [frame]
    indent = SWATCH + 2 if box["srgb"] else 0
    if box["srgb"]:
        swatch = Rect(left + PAD, top - PAD - SWATCH - 0.5, SWATCH, SWATCH)
        swatch.fillColor, swatch.strokeColor = HexColor(box["srgb"]), INK
        swatch.strokeWidth = 0.3
        shapes.append(swatch)
    lines = fitted(box["name"], width - 2 * PAD - indent, height)
    for number, text in enumerate(lines, 1):
        shapes.append(said(left + PAD + indent, top - number * LEADING, text, STRONG))
    note = shortened(box["note"], PLAIN, NOTE_SIZE, width - 2 * PAD)
    return [*shapes, said(left + PAD, top - (len(lines) + 1) * LEADING, note, PLAIN)]


def said(left: float, base: float, text: str, font: str) -> String:
    """Return a line of text in a box."""
    line = String(left, base, text, fontName=font)
    line.fontSize, line.fillColor = (NAME_SIZE, INK) if font == STRONG else (NOTE_SIZE, SOFT)
    return line


def fitted(name: str, room: float, height: float) -> list[str]:
    """Return a name in as many lines as a box is high, two at most; the last is cut where it must be."""
    most = max(1, min(NAME_LINES, int((height - PAD) // LEADING) - 1))
    lines = simpleSplit(clean(name), STRONG, NAME_SIZE, room)
    if len(lines) > most:
        lines = [*lines[: most - 1], " ".join(lines[most - 1 :])]
    return [shortened(line, STRONG, NAME_SIZE, room) for line in lines]


def shortened(text: str, font: str, size: float, room: float) -> str:
    """Return as much of a text as fits into some points, with an ellipsis where something had to go."""
    text = clean(text)
    if stringWidth(text, font, size) <= room:
        return text
    while text and stringWidth(text + ELLIPSIS, font, size) > room:
        text = text[:-1]
    return text.rstrip() + ELLIPSIS


def square_code(text: str, side: float) -> Drawing:
    """Return a QR code with its quiet zone, in a square of some points."""
    matrix = qr_matrix(text)
    module = side / (len(matrix) + 2 * QUIET_MODULES)
    drawing = Drawing(side, side)
    for row, line in enumerate(matrix):
        for column, is_dark in enumerate(line):
            if is_dark:
                left, base = (
                    (column + QUIET_MODULES) * module,
                    side - (row + QUIET_MODULES + 1) * module,
                )
                drawing.add(Rect(left, base, module, module, fillColor=INK, strokeColor=None))
    return drawing
