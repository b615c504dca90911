"""The rows of text on a label: each fits its width, whatever it has to say.

A row lies between its own left edge and its width and is as high as its content; rows
are stacked, so nothing can overlap. Sizes grow with one scale, and none falls below what
a label printer of 203 dpi still prints legibly.
"""

import re
from collections.abc import Iterator
from functools import lru_cache
from typing import NamedTuple

from products.calculations.label_drawing import INK, PAPER, Item, Line, Polygon, Rect, Text, moved
from products.calculations.label_fonts import (
    ASCENT,
    CAP_HEIGHT,
    LINE,
    PLAIN,
    STRONG,
    Fitted,
    clean,
    fit_text,
    width_em,
)
from products.calculations.label_texts import LabelText, Share, strip_text
from products.calculations.triangles import triangle

LEAST_TEXT_MM = 1.9  # common practice: 15 dots at 203 dpi, about 5.4 pt
HEAD_MM, TITLE_MM, MARK_MM, BODY_MM, FINE_MM, BAR_MM = 2.5, 4.6, 4.4, 2.8, 2.3, 2.6
STRIP_GAP_MM = 0.2
TRIANGLE = 1.25  # side over the size of the mark beside it
BESIDE_MM = 1.6  # between two texts on one line
SWATCH_GAP = 0.35  # of the size of the text beside it
LARGEST_HEAD_MM = 5.0
TONES = ("#5b5e5c", "#d9d7d0", "#8b8d89", "#efeee9", "#747773", "#bab9b3")

_SRGB = re.compile("#[0-9a-fA-F]{6}")


class Said(NamedTuple):
    """A text with the face and the size (mm) it would like to have."""

    text: str
    face: str
    size_mm: float

    @property
    def width_mm(self) -> float:
        return self.size_mm * width_em(self.text, self.face)


class Row(NamedTuple):
    """A row's name, height and figures from its own top left corner; `cut` when text had to go."""

    name: str
    height_mm: float
    items: tuple[Item, ...]
    cut: bool = False


def rows(label: LabelText, width_mm: float, scale: float, *, title_lines: int = 3) -> list[Row]:
    """Return the rows of a label for a width (mm) and a scale, from top to bottom."""
    title = said(label.title, STRONG, TITLE_MM * scale)
    made = [
        _head(label, width_mm, scale),
        _words("title", title, width_mm, title_lines),
        _mark(label, width_mm, scale),
        _colour(label, width_mm, scale),
        _strip(label.strip, width_mm, scale),
        _pair(
            "run",
            said(label.date_text, PLAIN, BODY_MM * scale),
            said(label.run_text, PLAIN, BODY_MM * scale),
            width_mm,
        ),
    ]
    for line in label.lines:
        made.append(_words("line", said(line, PLAIN, FINE_MM * scale), width_mm, most_lines=2))
    made.append(_address(label, width_mm, scale))
    return [row for row in made if row]


def said(text: str, face: str, size_mm: float) -> Said:
    """Return a text as it is printed, in a size that is never too small to print."""
    return Said(clean(text), face, max(size_mm, LEAST_TEXT_MM))


def _words(name: str, wish: Said, width_mm: float, most_lines: int = 1) -> Row | None:
    if not wish.text:
        return None
    fitted = fit_text(wish.text, wish.face, width_mm, wish.size_mm, LEAST_TEXT_MM, most_lines)
    height_mm = len(fitted.lines) * LINE * fitted.size_mm
    return Row(name, height_mm, tuple(lines_of(fitted, wish.face)), fitted.cut)


def lines_of(fitted: Fitted, face: str) -> Iterator[Text]:
    """Yield the lines of a fitted text from its own top left corner."""
    for number, line in enumerate(fitted.lines):
        base_mm = (number * LINE + ASCENT) * fitted.size_mm
        yield Text(0, base_mm, line, face, fitted.size_mm, fitted.size_mm * width_em(line, face))


def _pair(name: str, left: Said, right: Said, width_mm: float) -> Row | None:
    """Put two texts on one line, smaller if need be, or the second below the first."""
    if not left.text or not right.text:
        return _words(name, left if left.text else right, width_mm)
    shrunk = min(1.0, (width_mm - BESIDE_MM) / (left.width_mm + right.width_mm))
    least = max(0.75, LEAST_TEXT_MM / min(left.size_mm, right.size_mm))
    if shrunk < min(1.0, least):
        return _stacked(name, [_words(name, each, width_mm) for each in (left, right)])
    left, right = (each._replace(size_mm=each.size_mm * shrunk) for each in (left, right))
    tallest_mm = max(left.size_mm, right.size_mm)
    base_mm = ASCENT * tallest_mm
    items = (
        Text(0, base_mm, *left, left.width_mm),
        Text(width_mm - right.width_mm, base_mm, *right, right.width_mm),
    )
    return Row(name, LINE * tallest_mm, items)


def _stacked(name: str, parts: list[Row]) -> Row:
    items, height_mm = [], 0.0
    for part in parts:
        items += [moved(item, 0, height_mm) for item in part.items]
        height_mm += part.height_mm
    return Row(name, height_mm, tuple(items), any(part.cut for part in parts))


def _head(label: LabelText, width_mm: float, scale: float) -> Row | None:
    """Return what carries the label and where it stands, over a hairline."""
    size_mm = min(HEAD_MM * scale, LARGEST_HEAD_MM)
    kind, place = said(label.kind, PLAIN, size_mm), said(label.place_text, STRONG, size_mm)
    row = _pair("head", kind, place, width_mm)
    if not row:
        return None
    height_mm = row.height_mm + 0.3 * scale
    return Row("head", height_mm, (*row.items, Line(0, height_mm, width_mm, height_mm)), row.cut)


def _mark(label: LabelText, width_mm: float, scale: float) -> Row | None:
    """Return the mark, and the resin's triangle at the right of it."""
    symbol, side_mm = _resin(label, MARK_MM * scale)
    row = _unbroken(label.mark, MARK_MM * scale, width_mm - side_mm)
    if not symbol or not row:
        return row or symbol
    height_mm = max(row.height_mm, symbol.height_mm)
    items = [moved(item, 0, (height_mm - row.height_mm) / 2) for item in row.items]
    items += [moved(item, width_mm - side_mm + BESIDE_MM, 0) for item in symbol.items]
    return Row("mark", height_mm, tuple(items), row.cut)


def _unbroken(mark: str, size_mm: float, width_mm: float) -> Row | None:
    """Return a mark on one line if it can be made small enough, since it has no place to break."""
    wish = said(mark, STRONG, size_mm)
    row = _words("mark", wish, width_mm)
    return _words("mark", wish, width_mm, most_lines=2) if row and row.cut else row


def _resin(label: LabelText, size_mm: float) -> tuple[Row | None, float]:
    """Return the triangle with number and text, and the width (mm) that it takes from the mark."""
    number = clean(label.resin_number)
    if not number:
        return None, 0.0
    drawn = _triangle(TRIANGLE * size_mm)
    inner = Said(number, STRONG, drawn.number_height_mm / CAP_HEIGHT)
    below = said(label.resin_text, PLAIN, drawn.text_height_mm / CAP_HEIGHT)
    side_mm = max(drawn.size_mm, below.width_mm)
    left_mm, top_mm = (side_mm - drawn.size_mm) / 2, drawn.height_mm
    shapes = [
        Polygon(tuple((left_mm + x, top_mm - y) for x, y in points), fill)
        for points, fill in ((drawn.outer, INK), (drawn.inner, PAPER))
    ]
    number_mm = top_mm - drawn.number_at[1] + drawn.number_height_mm / 2
    text_mm = top_mm - drawn.text_at[1] + CAP_HEIGHT * below.size_mm
    texts = [
        Text((side_mm - text.width_mm) / 2, base_mm, *text, text.width_mm)
        for text, base_mm in ((inner, number_mm), (below, text_mm))
        if text.text
    ]
    height_mm = text_mm + (LINE - ASCENT) * below.size_mm if below.text else top_mm
    return Row("mark", height_mm, (*shapes, *texts)), side_mm + BESIDE_MM


_triangle = lru_cache(maxsize=64)(triangle)


def _colour(label: LabelText, width_mm: float, scale: float) -> Row | None:
    """Return the colour's name after a swatch of it, and the mass."""
    name = said(label.colour_name, PLAIN, BODY_MM * scale)
    mass = said(label.mass_text, STRONG, BODY_MM * scale)
    if not (name.text and is_colour(label.srgb)):
        return _pair("colour", name, mass, width_mm)
    indent_mm = name.size_mm * (1 + SWATCH_GAP)
    row = _pair("colour", name, mass, width_mm - indent_mm)
    first = row.items[0]
    top_mm = first.y_mm - (CAP_HEIGHT + 1) / 2 * first.size_mm
    swatch = Rect(0, top_mm, first.size_mm, first.size_mm, label.srgb, INK)
    items = (swatch, *(moved(item, indent_mm, 0) for item in row.items))
    return Row("colour", row.height_mm, items, row.cut)


def is_colour(srgb: str) -> bool:
    """Return whether a text is a colour as `#rrggbb`.

    >>> is_colour("#1b3f66"), is_colour("blue")
    (True, False)
    """
    return _SRGB.fullmatch(srgb) is not None


def _strip(shares: tuple[Share, ...], width_mm: float, scale: float) -> Row | None:
    """Return the make-up strip, in the order given, with its figures under it."""
    present = tuple(share for share in shares if share.share > 0)
    if not present:
        return None
    bar_mm, whole = BAR_MM * scale, max(1.0, sum(share.share for share in present))
    items, left_mm = [], 0.0
    for number, share in enumerate(present):
        segment_mm = width_mm * share.share / whole
        fill = share.srgb if is_colour(share.srgb) else TONES[number % len(TONES)]
        items.append(Rect(left_mm, 0, segment_mm, bar_mm, fill))
        items.append(Line(left_mm, 0, left_mm, bar_mm))
        left_mm += segment_mm
    items.append(Rect(0, 0, width_mm, bar_mm, "", INK))
    figures = said(strip_text(present), PLAIN, FINE_MM * scale)
    below = _words("strip", figures, width_mm, most_lines=2)
    bar_mm += STRIP_GAP_MM * scale
    items += [moved(item, 0, bar_mm) for item in below.items]
    return Row("strip", bar_mm + below.height_mm, tuple(items), below.cut)


def _address(label: LabelText, width_mm: float, scale: float) -> Row | None:
    """Return the address for who has no scanner; a part of it would serve nobody."""
    row = _words("address", said(label.typed_address, PLAIN, FINE_MM * scale), width_mm)
    return None if row.cut else row
