"""The text that is cut into a stamp or a mould insert, as strokes in millimetres.

What is pressed or moulded comes out the other way round, so a stamp is cut mirrored.
Lengths are millimetres, x to the right and y up, the drawing's lower left corner is the
origin. A stroke is the middle of the cut; how wide it becomes is the cutter's choice.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from products.calculations.glyphs import CAPITAL_UNITS, GLYPHS, cut_text
from products.calculations.marks import build, parse
from products.calculations.resin_codes import refuse_to_draw
from products.calculations.sentences import Sentence
from products.calculations.triangles import triangle

LEAST_HEIGHT_MM = 2.0  # common practice
LETTER_GAP = 2.0  # units of the grid, a capital is 6 high
LINE_GAP = 4.0
HAIRLINE_MM = 0.1
MARGIN_MM = 1.0
CLOSED = 1  # flag of a POLYLINE in DXF
DECIMALS = 10

Point = tuple[float, float]
Polyline = tuple[Point, ...]


def stamp_lines(
    *,
    mark: str,
    made_on: date | None = None,
    workshop: str = "",
    tool: str = "",
    cavity: int | None = None,
) -> tuple[str, ...]:
    """Return the lines to engrave: mark, month and year, workshop, tool and cavity.

    What is not given is left out. Capitals without accents. Raises MarkError when the mark is
    none, GlyphError (code `no-glyph`) for a letter that cannot be cut.

    >>> stamp_lines(mark=">PE-HD<", made_on=date(2026, 11, 3), workshop="Demo", tool="M7", cavity=2)
    ('>PE-HD<', '11/2026', 'DEMO', 'M7 / 2')
    """
    month = f"{made_on:%m/%Y}" if made_on else ""
    place = " / ".join(str(each) for each in (tool.strip(), cavity) if each)
    lines = (build(parse(mark)), month, workshop, place)
    return tuple(cut_text(line) for line in lines if line.strip())


@dataclass(frozen=True)
class ResinStamp:
    """A resin code to cut beside the text: its number and text, the triangle's side in mm."""

    number: int
    text: str
    size_mm: float


def stamp_warnings(height_mm: float, resin: ResinStamp | None = None) -> tuple[Sentence, ...]:
    """Return what makes a stamp hard to read: letters below 2 mm (common practice), a small triangle.

    >>> stamp_warnings(2), len(stamp_warnings(1.9))
    ((), 1)
    """
    warnings = ()
    if height_mm < LEAST_HEIGHT_MM:
        warnings = (Sentence("letters-small", height=f"{LEAST_HEIGHT_MM:g}"),)
    return warnings + (triangle(resin.size_mm).warnings if resin else ())


def stamp_polylines(
    lines: Iterable[str],
    height_mm: float,
    *,
    mirrored: bool = True,
    letter_gap: float = LETTER_GAP,
    line_gap: float = LINE_GAP,
    resin: ResinStamp | None = None,
) -> list[Polyline]:
    """Return the strokes of some lines of text in millimetres, the first line on top.

    `height_mm` is the height of a capital, `letter_gap` and `line_gap` are sixths of it. A
    resin code stands to the left of the text, its own text below its triangle. Mirrored means
    x becomes width - x, and nothing else changes, not even the order of strokes and points.

    Raises GlyphError for a letter that cannot be cut, ValueError for a height that is
    not above zero and for a resin number that does not go with its text.

    >>> stamp_polylines(["L-"], 6, mirrored=False)
    [((0.0, 6.0), (0.0, 0.0), (4.0, 0.0)), ((6.0, 3.0), (9.0, 3.0))]
    >>> stamp_polylines(["L-"], 6)
    [((9.0, 6.0), (9.0, 0.0), (5.0, 0.0)), ((3.0, 3.0), (0.0, 3.0))]
    """
    if not height_mm > 0:
        raise ValueError("letters have a height above zero")
    strokes = []
    for row, line in enumerate(reversed(list(lines))):
        base = row * (CAPITAL_UNITS + line_gap) * height_mm / CAPITAL_UNITS
        strokes = _moved(_text_strokes(cut_text(line), height_mm, letter_gap), 0, base) + strokes
    if resin:
        strokes = _resin_strokes(resin, letter_gap) + _moved(strokes, resin.size_mm + height_mm, 0)
    if not mirrored:
        return strokes
    width = _box(strokes)[2]
    return [tuple((width - x, y) for x, y in stroke) for stroke in strokes]


def _text_strokes(text: str, height_mm: float, letter_gap: float) -> list[Polyline]:
    scale, start, strokes = height_mm / CAPITAL_UNITS, 0.0, []
    for letter in text:
        glyph = GLYPHS[letter]
        strokes += [
            tuple(((start + x) * scale, y * scale) for x, y in stroke) for stroke in glyph.strokes
        ]
        start += glyph.width + letter_gap
    return strokes


def _resin_strokes(resin: ResinStamp, letter_gap: float) -> list[Polyline]:
    """The triangle's line, number and text; the lowest point is at y = 0."""
    refuse_to_draw(resin.number, resin.text)
    drawn = triangle(resin.size_mm)
    number = _text_strokes(str(resin.number), drawn.number_height_mm, letter_gap)
    text = _text_strokes(cut_text(resin.text), drawn.text_height_mm, letter_gap)
    shrink = min(1.0, resin.size_mm / _box(text)[2])
    text = [tuple((x * shrink, y * shrink) for x, y in stroke) for stroke in text]
    base = drawn.text_height_mm * shrink
    lift = base - drawn.text_at[1]
    middle, centre = drawn.number_at
    corners = (*drawn.outer, drawn.outer[0])
    return [
        *_moved([corners], 0, lift),
        *_moved(
            number,
            middle - _box(number)[2] / 2,
            lift + centre - drawn.number_height_mm / 2,
        ),
        *_moved(text, middle - _box(text)[2] / 2, 0),
    ]


def _moved(strokes: Iterable[Polyline], right: float, up: float) -> list[Polyline]:
    return [tuple((x + right, y + up) for x, y in stroke) for stroke in strokes]


def _box(strokes: Iterable[Polyline]) -> tuple[float, float, float, float]:
    points = [point for stroke in strokes for point in stroke] or [(0.0, 0.0)]
    across, up = zip(*points, strict=True)
    return min(across), min(up), max(across), max(up)


def _mm(length: float) -> str:
    text = f"{length:.{DECIMALS}f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


def stamp_svg(polylines: Iterable[Polyline]) -> str:
    """Return strokes (mm, y up) as an SVG in millimetres: one path each, a margin of 1 mm around.

    >>> print(stamp_svg(stamp_polylines(["-"], 6)))
    <svg xmlns="http://www.w3.org/2000/svg" width="5mm" height="2mm" viewBox="-1 -1 5 2">
    <path d="M3,0 L0,0" fill="none" stroke="black" stroke-width="0.1"/>
    </svg>
    <BLANKLINE>
    """
    polylines = list(polylines)
    left, low, right, top = _box(polylines)
    width, height = _mm(right - left + 2 * MARGIN_MM), _mm(top - low + 2 * MARGIN_MM)
    paths = [
        f'<path d="M{" L".join(f"{_mm(x)},{_mm(top - y)}" for x, y in stroke)}"'
        f' fill="none" stroke="black" stroke-width="{HAIRLINE_MM}"/>'
        for stroke in polylines
    ]
    opening = (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{width}mm" height="{height}mm"'
        f' viewBox="{_mm(left - MARGIN_MM)} {_mm(-MARGIN_MM)} {width} {height}">'
    )
    return "\n".join((opening, *paths, "</svg>\n"))


def stamp_dxf(polylines: Iterable[Polyline]) -> str:
    """Return strokes (mm) as a DXF of release 12, one POLYLINE each on layer 0.

    Release 12 has no units: a comment says millimetres. A stroke that ends where it began is a
    closed POLYLINE. Source: the ASCII group codes of DXF release 12 (AC1009).

    >>> stamp_dxf([((0, 0), (4, 0))]).splitlines()[:2]
    ['999', 'millimetres']
    """
    polylines = list(polylines)
    left, low, right, top = _box(polylines)
    pairs = [(999, "millimetres"), (0, "SECTION"), (2, "HEADER")]
    pairs += [(9, "$ACADVER"), (1, "AC1009")]
    pairs += [(9, "$EXTMIN"), *_coordinates(left, low), (9, "$EXTMAX"), *_coordinates(right, top)]
    pairs += [(0, "ENDSEC"), (0, "SECTION"), (2, "ENTITIES")]
    for stroke in polylines:
        pairs += _dxf_polyline(stroke)
    pairs += [(0, "ENDSEC"), (0, "EOF")]
    return "".join(f"{code}\n{value}\n" for code, value in pairs)


def _dxf_polyline(stroke: Polyline) -> list[tuple[int, str]]:
    closed = stroke[0] == stroke[-1]
    pairs = [(0, "POLYLINE"), (8, "0"), (66, "1"), *_coordinates(0, 0)]
    pairs += [(70, str(CLOSED if closed else 0))]
    for x, y in stroke[:-1] if closed else stroke:
        pairs += [(0, "VERTEX"), (8, "0"), *_coordinates(x, y)]
    return [*pairs, (0, "SEQEND"), (8, "0")]


def _coordinates(x: float, y: float) -> list[tuple[int, str]]:
    return [(10, _mm(x)), (20, _mm(y)), (30, "0")]
