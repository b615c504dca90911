"""What a label is drawn with: a handful of figures in millimetres, y downwards.

PDF, SVG and PNG all draw these and nothing else, so that the three agree.
"""

from typing import NamedTuple

from products.calculations.qr_codes import QUIET_MODULES, Matrix

INK = "#000000"
PAPER = "#ffffff"
HAIRLINE_MM = 0.15  # a little more than one dot at 203 dpi


class Rect(NamedTuple):
    """A rectangle by its top left corner; without a fill it is only outlined, and the reverse."""

    x_mm: float
    y_mm: float
    width_mm: float
    height_mm: float
    fill: str = ""
    stroke: str = ""


class Line(NamedTuple):
    """A hairline between two points."""

    x_mm: float
    y_mm: float
    to_x_mm: float
    to_y_mm: float


class Polygon(NamedTuple):
    """A filled area between points."""

    points_mm: tuple[tuple[float, float], ...]
    fill: str


class Text(NamedTuple):
    """One line of text in a face, by the left end of its base line; it runs `width_mm`."""

    x_mm: float
    y_mm: float
    text: str
    face: str
    size_mm: float
    width_mm: float


class Qr(NamedTuple):
    """A square code by the top left corner of its quiet zone, which is drawn as paper."""

    x_mm: float
    y_mm: float
    module_mm: float
    matrix: Matrix

    @property
    def side_mm(self) -> float:
        """The side with the quiet zone."""
        return self.module_mm * (len(self.matrix) + 2 * QUIET_MODULES)


Item = Rect | Line | Polygon | Text | Qr


def moved(item: Item, x_mm: float, y_mm: float) -> Item:
    """Return a figure moved to the right and down (mm)."""
    if isinstance(item, Polygon):
        points = tuple((x + x_mm, y + y_mm) for x, y in item.points_mm)
        return item._replace(points_mm=points)
    x_mm, y_mm = item.x_mm + x_mm, item.y_mm + y_mm
    if isinstance(item, Line):
        across_mm, down_mm = item.to_x_mm - item.x_mm, item.to_y_mm - item.y_mm
        return Line(x_mm, y_mm, x_mm + across_mm, y_mm + down_mm)
    return item._replace(x_mm=x_mm, y_mm=y_mm)
