"""A nested sheet as a picture (SVG) and as outlines for a machine (DXF of release 12), in mm.

As in the pictures of sawn sheets: parts are light, the kerf around them is dark, scrap is hatched,
an offcut to keep is white with a broken line and a K. Parts are numbered in the order of cutting.
"""

from products.calculations.cut_drawings import (
    KEPT,
    LETTERS_PER_SHEET,
    WIDE,
    document_dxf,
    head_svg,
    name_dxf,
    outline_dxf,
    rectangle_svg,
    short_mm,
    sides_svg,
    text_svg,
)
from products.calculations.cut_plans import UM_PER_MM, Box, mm
from products.calculations.nestings import NestedSheet, NestQuestion, kept_of
from products.calculations.outlines import Outline

LEAST_LETTER = 0.3  # of the usual height of a letter is a number in a small part
LINE = "#000"
PART, KERF = "#e2e2e2", "#555"


def nested_svg(sheet: NestedSheet, question: NestQuestion) -> str:
    """Return a nested sheet as an SVG with its sizes in mm."""
    length, width = sheet.stock.length_um, sheet.stock.width_um
    letter = max(length, width) / UM_PER_MM / LETTERS_PER_SHEET
    across, up = length / UM_PER_MM, width / UM_PER_MM
    frame = f'width="{short_mm(across)}" height="{short_mm(up)}"'
    rows = [
        *head_svg(across, up, letter),
        f'<clipPath id="sheet"><rect {frame}/></clipPath>',
        f'<rect {frame} fill="url(#scrap)" stroke="{LINE}" stroke-width="{short_mm(letter / 12)}"/>',
    ]
    if kept := kept_of(sheet, question):
        rows.append(rectangle_svg(kept, "kept", up, letter))
        rows.append(text_svg(*_middle(kept, up), KEPT, letter))
    wide = short_mm(2 * question.saw.kerf_um / UM_PER_MM)
    paths = [_path(each.outline, up) for each in sheet.placed]
    rows.append(f'<g clip-path="url(#sheet)" stroke="{KERF}" stroke-width="{wide}" fill="none">')
    rows += [f'<path d="{path}"/>' for path in paths]
    rows.append("</g>")
    line = f'stroke="{LINE}" stroke-width="{short_mm(letter / 12)}"'
    rows += [f'<path d="{path}" fill="{PART}" {line}/>' for path in paths]
    for number, each in enumerate(sheet.placed, 1):
        rows.append(_number(each.outline, str(number), up, letter))
    return "\n".join((*rows, *sides_svg(length, width, letter), "</svg>\n"))


def _middle(box: Box, up: float) -> tuple[float, float]:
    return (
        (box.x_um + box.length_um / 2) / UM_PER_MM,
        up - (box.y_um + box.width_um / 2) / UM_PER_MM,
    )


def _path(outline: Outline, up: float) -> str:
    points = (f"{mm(x)} {short_mm(up - y / UM_PER_MM)}" for x, y in outline.points)
    return f"M{'L'.join(points)}Z"


def _number(outline: Outline, text: str, up: float, letter: float) -> str:
    """Return the number of a part at a point inside it, smaller where there is little room."""
    inside = outline.polygon.representative_point()
    room = 2 * outline.polygon.exterior.distance(inside) / UM_PER_MM
    size = max(LEAST_LETTER * letter, min(letter, room / max(1, len(text) * WIDE)))
    written = text_svg(inside.x / UM_PER_MM, up - inside.y / UM_PER_MM, text, size)
    return f'<g font-size="{short_mm(size)}">{written}</g>'


def nested_dxf(sheet: NestedSheet, question: NestQuestion) -> str:
    """Return a nested sheet as a DXF of release 12, in mm, the lower left corner of the sheet at 0, 0.

    Closed POLYLINEs on the layers SHEET, PARTS and OFFCUTS, in the order of cutting; the outlines
    are those of the finished parts, so the machine has to keep half its kerf outside of them.
    """
    whole = Box(0, 0, sheet.stock.length_um, sheet.stock.width_um)
    pairs = outline_dxf(_corners(whole), "SHEET")
    for each in sheet.placed:
        pairs += outline_dxf(each.outline.points, "PARTS")
        left, low, right, top = each.outline.bounds
        pairs += name_dxf(Box(left, low, right - left, top - low), question.shapes[each.shape].name)
    if kept := kept_of(sheet, question):
        pairs += [*outline_dxf(_corners(kept), "OFFCUTS"), *name_dxf(kept, KEPT)]
    return document_dxf(pairs)


def _corners(box: Box) -> tuple:
    return (
        (box.x_um, box.y_um),
        (box.right_um, box.y_um),
        (box.right_um, box.top_um),
        (box.x_um, box.top_um),
    )
