"""The solid equilateral triangle of ASTM D7611 as a drawing in millimetres.

A closed line of even width with the number inside and the text below. Solid since 2013; the
older arrows are not drawn here. Lengths are millimetres, x to the right and y up, the
origin at the lower left corner of the triangle. The proportions are this project's own.
"""

from dataclasses import dataclass
from html import escape
from math import sqrt

from products.calculations.resin_codes import refuse_to_draw
from products.calculations.sentences import Sentence

LEAST_SIZE_MM = 12.7  # of the older scheme, from memory, not confirmed for ASTM D7611
LINE_SHARE = 1 / 12  # of the side, as all shares here
NUMBER_SHARE = 0.3
TEXT_SHARE = 0.2
GAP_SHARE = 0.1
CAPITAL_SHARE = 0.72  # height of a capital in a common sans serif, of the font size
LETTER_SHARE = 0.75  # its width at most, of the font size

Point = tuple[float, float]


@dataclass(frozen=True)
class Triangle:
    """Corners of the line outside and inside, and where number and text are centred (mm).

    `number_at` is the middle of the number; `text_at` the middle of the text's upper edge.
    """

    size_mm: float
    outer: tuple[Point, ...]
    inner: tuple[Point, ...]
    number_at: Point
    number_height_mm: float
    text_at: Point
    text_height_mm: float
    warnings: tuple[str, ...]

    @property
    def height_mm(self) -> float:
        """Height of the triangle without its text."""
        return self.outer[2][1]


def triangle(size_mm: float) -> Triangle:
    """Return the triangle with sides of `size_mm`, its angles 60 degrees.

    Below 12.7 mm it carries a warning: the older scheme's least size, from memory and
    unconfirmed for ASTM D7611. Raises ValueError for a size that is not above zero.

    >>> drawn = triangle(20)
    >>> [(round(x, 3), round(y, 3)) for x, y in drawn.outer]
    [(0.0, 0.0), (20.0, 0.0), (10.0, 17.321)]
    >>> drawn.warnings, len(triangle(10).warnings)
    ((), 1)
    """
    if not size_mm > 0:
        raise ValueError("a triangle has a size above zero")
    height = size_mm * sqrt(3) / 2
    centre = (size_mm / 2, height / 3)
    outer = ((0.0, 0.0), (float(size_mm), 0.0), (size_mm / 2, height))
    shrink = 1 - LINE_SHARE * size_mm / (height / 3)
    inner = tuple(
        (centre[0] + shrink * (x - centre[0]), centre[1] + shrink * (y - centre[1]))
        for x, y in outer
    )
    small = (Sentence("triangle-small", size=str(LEAST_SIZE_MM)),)
    return Triangle(
        size_mm=size_mm,
        outer=outer,
        inner=inner,
        number_at=centre,
        number_height_mm=NUMBER_SHARE * size_mm,
        text_at=(centre[0], -GAP_SHARE * size_mm),
        text_height_mm=TEXT_SHARE * size_mm,
        warnings=small if size_mm < LEAST_SIZE_MM else (),
    )


def triangle_svg(number: int, text: str, size_mm: float) -> str:
    """Return a standalone SVG in millimetres; number and text are text in it.

    Long texts are set smaller so that they stay as wide as the triangle. Raises ValueError
    when number (1 to 7) and text do not go together or the size is not above zero.

    >>> triangle_svg(2, "HDPE", 20).startswith('<svg xmlns="http://www.w3.org/2000/svg" width="20mm"')
    True
    """
    refuse_to_draw(number, text)
    drawn = triangle(size_mm)
    fits = size_mm * CAPITAL_SHARE / (LETTER_SHARE * len(text))
    capital = min(drawn.text_height_mm, fits)
    top = drawn.height_mm
    total = top - drawn.text_at[1] + capital * 1.1
    paths = " ".join(_path(corners, top) for corners in (drawn.outer, drawn.inner))
    number_y = top - drawn.number_at[1] + drawn.number_height_mm / 2
    return "\n".join(
        (
            f'<svg xmlns="http://www.w3.org/2000/svg" width="{size_mm:g}mm" height="{_mm(total)}mm"'
            f' viewBox="0 0 {size_mm:g} {_mm(total)}">',
            f"<title>{number} {escape(text)}</title>",
            f'<path d="{paths}" fill="black" fill-rule="evenodd"/>',
            _text(str(number), drawn.number_at[0], number_y, drawn.number_height_mm),
            _text(text, drawn.text_at[0], top - drawn.text_at[1] + capital, capital),
            "</svg>\n",
        )
    )


def _text(text: str, x: float, baseline: float, capital: float) -> str:
    return (
        f'<text x="{_mm(x)}" y="{_mm(baseline)}" font-size="{_mm(capital / CAPITAL_SHARE)}"'
        f' font-family="sans-serif" font-weight="bold" text-anchor="middle">{escape(text)}</text>'
    )


def _path(corners: tuple[Point, ...], top: float) -> str:
    return f"M{' L'.join(f'{_mm(x)},{_mm(top - y)}' for x, y in corners)} Z"


def _mm(length: float) -> str:
    return f"{length:.6f}".rstrip("0").rstrip(".")
