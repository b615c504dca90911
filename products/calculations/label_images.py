"""One label as a picture for the screen (SVG) or for a label printer (PNG)."""

import re
from functools import lru_cache
from io import BytesIO
from xml.sax.saxutils import escape, quoteattr

from PIL import Image, ImageDraw, ImageFont

from products.calculations.label_drawing import (
    HAIRLINE_MM,
    INK,
    PAPER,
    Line,
    Polygon,
    Qr,
    Rect,
    Text,
)
from products.calculations.label_fonts import FILES, MONO, STRONG, width_em
from products.calculations.label_pictures import picture
from products.calculations.label_texts import LabelText
from products.calculations.qr_codes import INCH_MM, QUIET_MODULES, Matrix

FAMILIES = {MONO: "Cascadia Mono, ui-monospace, monospace"}
SANS = "Noto Sans, system-ui, sans-serif"

_DARK = re.compile(b"\x01+")


def label_svg(
    label: LabelText, width_mm: float, height_mm: float, *, code_side: str = "left"
) -> str:
    """Return a label as an SVG in millimetres, without styles or scripts.

    Each text is held to the width it has in print, whatever face shows it.
    """
    drawn = picture(label, width_mm, height_mm, code_side=code_side)
    body = "".join(SVG[type(item)](item) for item in drawn.items)
    name = quoteattr(f"{label.kind} {label.groups}".strip())
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" role="img" aria-label={name} '
        f'width="{mm(width_mm)}mm" height="{mm(height_mm)}mm" '
        f'viewBox="0 0 {mm(width_mm)} {mm(height_mm)}">'
        f'<rect width="{mm(width_mm)}" height="{mm(height_mm)}" fill="{PAPER}"/>{body}</svg>'
    )


def label_png(
    label: LabelText, width_mm: float, height_mm: float, dpi: int, *, code_side: str = "left"
) -> bytes:
    """Return a label as a PNG of a resolution (dots per inch), for a printer of that kind.

    Modules of the square code are whole dots, so that none is wider than its
    neighbour; what is left over goes to the quiet zone.
    """
    drawn = picture(label, width_mm, height_mm, code_side=code_side)
    dots = dpi / INCH_MM
    image = Image.new("RGB", (round(width_mm * dots), round(height_mm * dots)), PAPER)
    pen = ImageDraw.Draw(image)
    for item in drawn.items:
        PNG[type(item)](pen, item, dots)
    written = BytesIO()
    image.save(written, format="PNG", dpi=(dpi, dpi))
    return written.getvalue()


def runs(matrix: Matrix):
    """Yield the dark stretches of a code as column, row and length, in modules.

    >>> list(runs(((True, True, False), (False, False, True))))
    [(0, 0, 2), (2, 1, 1)]
    """
    for y, row in enumerate(matrix):
        for x, length in stretches(row):
            yield x, y, length


def stretches(row: tuple[bool, ...]) -> list[tuple[int, int]]:
    """Return the dark stretches of a row of modules as column and length.

    >>> stretches((True, True, False, True))
    [(0, 2), (3, 1)]
    """
    return [(x, end - x) for x, end in map(re.Match.span, _DARK.finditer(bytes(row)))]


def mm(number: float) -> str:
    """Return a length as it is written in an SVG, to the micrometre.

    >>> mm(2.5), mm(3)
    ('2.5', '3')
    """
    return f"{number:.3f}".rstrip("0").rstrip(".")


def _svg_rect(item: Rect) -> str:
    fill = item.fill or "none"
    stroke = f' stroke="{item.stroke}" stroke-width="{HAIRLINE_MM}"' if item.stroke else ""
    return (
        f'<rect x="{mm(item.x_mm)}" y="{mm(item.y_mm)}" width="{mm(item.width_mm)}" '
        f'height="{mm(item.height_mm)}" fill="{fill}"{stroke}/>'
    )


def _svg_line(item: Line) -> str:
    return (
        f'<path d="M{mm(item.x_mm)} {mm(item.y_mm)}L{mm(item.to_x_mm)} {mm(item.to_y_mm)}" '
        f'stroke="{INK}" stroke-width="{HAIRLINE_MM}"/>'
    )


def _svg_polygon(item: Polygon) -> str:
    points = " ".join(f"{mm(x)},{mm(y)}" for x, y in item.points_mm)
    return f'<polygon points="{points}" fill="{item.fill}"/>'


def _svg_text(item: Text) -> str:
    weight = "400" if item.face not in {MONO, STRONG} else "700"
    return (
        f'<text x="{mm(item.x_mm)}" y="{mm(item.y_mm)}" font-size="{mm(item.size_mm)}" '
        f'font-family="{FAMILIES.get(item.face, SANS)}" font-weight="{weight}" fill="{INK}" '
        f'textLength="{mm(item.width_mm)}" lengthAdjust="spacingAndGlyphs">'
        f"{escape(item.text)}</text>"
    )


def _svg_qr(item: Qr) -> str:
    path = "".join(f"M{x} {y}h{length}v1h-{length}z" for x, y, length in runs(item.matrix))
    at = f"translate({mm(item.x_mm)} {mm(item.y_mm)}) scale({item.module_mm:.6f})"
    whole = len(item.matrix) + 2 * QUIET_MODULES
    return (
        f'<g transform="{at}"><rect width="{whole}" height="{whole}" fill="{PAPER}"/>'
        f'<path transform="translate({QUIET_MODULES} {QUIET_MODULES})" d="{path}" fill="{INK}" '
        f'shape-rendering="crispEdges"/></g>'
    )


SVG = {
    Rect: _svg_rect,
    Line: _svg_line,
    Polygon: _svg_polygon,
    Text: _svg_text,
    Qr: _svg_qr,
}


@lru_cache(maxsize=64)
def _font(face: str, size: float) -> ImageFont.FreeTypeFont:
    return ImageFont.truetype(BytesIO(FILES[face]), size, layout_engine=ImageFont.Layout.BASIC)


def _hair(dots: float) -> int:
    return max(1, round(HAIRLINE_MM * dots))


def _png_rect(pen: ImageDraw.ImageDraw, item: Rect, dots: float) -> None:
    left, top = round(item.x_mm * dots), round(item.y_mm * dots)
    right = round((item.x_mm + item.width_mm) * dots)
    bottom = round((item.y_mm + item.height_mm) * dots)
    box = (left, top, max(left, right - 1), max(top, bottom - 1))
    pen.rectangle(box, item.fill or None, item.stroke or None, _hair(dots))


def _png_line(pen: ImageDraw.ImageDraw, item: Line, dots: float) -> None:
    ends = [round(value * dots) for value in (item.x_mm, item.y_mm, item.to_x_mm, item.to_y_mm)]
    pen.line(ends, INK, _hair(dots))


def _png_polygon(pen: ImageDraw.ImageDraw, item: Polygon, dots: float) -> None:
    pen.polygon([(x * dots, y * dots) for x, y in item.points_mm], item.fill)


def _png_text(pen: ImageDraw.ImageDraw, item: Text, dots: float) -> None:
    """Place each letter by itself: the printer's grid must not add up to another width."""
    font = _font(item.face, round(item.size_mm * dots, 2))
    for place, letter in enumerate(item.text):
        x_mm = item.x_mm + item.size_mm * width_em(item.text[:place], item.face)
        pen.text((x_mm * dots, item.y_mm * dots), letter, INK, font, anchor="ls")


def _png_qr(pen: ImageDraw.ImageDraw, item: Qr, dots: float) -> None:
    left, top, side = (round(value * dots) for value in (item.x_mm, item.y_mm, item.side_mm))
    pen.rectangle((left, top, left + side - 1, top + side - 1), PAPER)
    size = len(item.matrix)
    module = max(1, side // (size + 2 * QUIET_MODULES))
    left, top = left + (side - module * size) // 2, top + (side - module * size) // 2
    for x, y, length in runs(item.matrix):
        at_x, at_y = left + module * x, top + module * y
        pen.rectangle((at_x, at_y, at_x + module * length - 1, at_y + module - 1), INK)


PNG = {
    Rect: _png_rect,
    Line: _png_line,
    Polygon: _png_polygon,
    Text: _png_text,
    Qr: _png_qr,
}
