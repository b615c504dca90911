"""A sawn sheet as a picture (SVG) and as outlines for a machine (DXF of release 12), in mm.

Greys and letters only: parts are light, the kerf and what it took are dark, an offcut to keep is
white with a broken line and a K, scrap is hatched. Offcuts are numbered in the order of the plan.
"""

from xml.sax.saxutils import escape

from products.calculations.cut_plans import UM_PER_MM, Box, SawnSheet, mm
from products.calculations.stamps import CLOSED

LETTERS_PER_SHEET = 40  # the larger side is so many capitals high
ROOM = 3  # letters around the sheet
WIDE = 0.62  # of its height is a letter, about
KEPT = "K"
NO_XML = "\ufffe\uffff"  # XML 1.0 has no such characters, nor those below a space
FILLS = {"part": "#e2e2e2", "kept": "#ffffff", "scrap": "url(#scrap)"}
LEAST_CODE, ASCII_END, LAST_CODE = 32, 127, 0xFFFF


def sheet_svg(sheet: SawnSheet, names: tuple[str, ...] = ()) -> str:
    """Return a sheet as an SVG with its sizes in mm; `names` are short names of the parts placed.

    Without names the parts are named by their own.
    """
    length, width = sheet.stock.length_um, sheet.stock.width_um
    letter = max(length, width) / UM_PER_MM / LETTERS_PER_SHEET
    across, up = length / UM_PER_MM, width / UM_PER_MM
    names = names or tuple(each.part.name for each in sheet.placed)
    rows = [
        *head_svg(across, up, letter),
        f'<rect width="{short_mm(across)}" height="{short_mm(up)}" fill="#555"/>',
    ]
    rows += [rectangle_svg(box, "scrap", up, letter) for box in sheet.scrap]
    rows += [rectangle_svg(box, "kept", up, letter) for box in sheet.kept]
    rows += [rectangle_svg(each.box, "part", up, letter) for each in sheet.placed]
    for box, name in _named(sheet, names):
        rows += _label(box, name, up, letter)
    rows += sides_svg(length, width, letter)
    return "\n".join((*rows, "</svg>\n"))


def head_svg(across: float, up: float, letter: float) -> list[str]:
    """Return the beginning of the picture of a sheet in mm: its frame, and the hatching of scrap."""
    room, tile = ROOM * letter, short_mm(letter)
    return [
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="{short_mm(-room)} {short_mm(-letter)}'
        f' {short_mm(across + room + letter)} {short_mm(up + room + letter)}"'
        f' font-family="sans-serif" font-size="{tile}" text-anchor="middle">',
        f'<defs><pattern id="scrap" width="{tile}" height="{tile}"'
        ' patternUnits="userSpaceOnUse" patternTransform="rotate(45)"><rect width="100%"'
        f' height="100%" fill="#fff"/><line x1="0" y1="0" x2="0" y2="{tile}"'
        f' stroke="#777" stroke-width="{short_mm(letter / 4)}"/></pattern></defs>',
    ]


def sides_svg(length_um: int, width_um: int, letter: float) -> list[str]:
    """Return length and width of a sheet, written below it and left of it."""
    across, up = length_um / UM_PER_MM, width_um / UM_PER_MM
    return [
        text_svg(across / 2, up + 1.5 * letter, f"{mm(length_um)} mm", letter),
        text_svg(-letter, up / 2, f"{mm(width_um)} mm", letter, is_upright=True),
    ]


def _named(sheet: SawnSheet, names: tuple[str, ...]) -> list[tuple[Box, str]]:
    parts = [(each.box, name) for each, name in zip(sheet.placed, names, strict=True)]
    kept = [(box, f"{KEPT}{number}") for number, box in enumerate(sheet.kept, 1)]
    return parts + kept


def short_mm(length_mm: float) -> str:
    """Return a length to the um without needless zeros."""
    return f"{length_mm:.3f}".rstrip("0").rstrip(".")


def rectangle_svg(box: Box, kind: str, up: float, letter: float) -> str:
    """Return a part, an offcut to keep or scrap as a rectangle."""
    x, y = box.x_um / UM_PER_MM, up - box.top_um / UM_PER_MM
    length, width = box.length_um / UM_PER_MM, box.width_um / UM_PER_MM
    line = f' stroke="#000" stroke-width="{short_mm(letter / 12)}"'
    broken = f' stroke-dasharray="{short_mm(letter / 2)}"' if kind == "kept" else ""
    return (
        f'<rect x="{short_mm(x)}" y="{short_mm(y)}" width="{short_mm(length)}" height="{short_mm(width)}"'
        f' fill="{FILLS[kind]}"{line}{broken}/>'
    )


def _label(box: Box, name: str, up: float, letter: float) -> list[str]:
    """The name and below it the size, upright where that has more room; what has none stays out."""
    length, width = box.length_um / UM_PER_MM, box.width_um / UM_PER_MM
    x = box.x_um / UM_PER_MM + length / 2
    y = up - box.y_um / UM_PER_MM - width / 2
    is_upright = width > length
    along, high = (width, length) if is_upright else (length, width)
    lines = [name, f"{mm(box.length_um)} × {mm(box.width_um)}"]
    lines = [line for line in lines if len(line) * WIDE * letter <= along]
    lines = lines[: int(high / (1.2 * letter))]
    rows = []
    for number, line in enumerate(lines):
        down = (number - (len(lines) - 1) / 2) * 1.2 * letter
        at = (x + down, y) if is_upright else (x, y + down)
        rows.append(text_svg(*at, line, letter, is_upright=is_upright))
    return rows


def text_svg(x: float, y: float, text: str, letter: float, *, is_upright: bool = False) -> str:
    """Return a text about a point, without signs that XML does not know."""
    turn = f' transform="rotate(-90 {short_mm(x)} {short_mm(y)})"' if is_upright else ""
    drop = short_mm(letter * 0.35)
    plain = escape("".join(each for each in text if ord(each) >= LEAST_CODE and each not in NO_XML))
    return f'<text x="{short_mm(x)}" y="{short_mm(y)}" dy="{drop}"{turn}>{plain}</text>'


def sheet_dxf(sheet: SawnSheet) -> str:
    """Return a sheet as a DXF of release 12, in mm, the lower left corner of the sheet at 0, 0.

    Closed POLYLINEs on the layers SHEET, PARTS and OFFCUTS, the names as TEXT on the layer NAMES.
    Source: the ASCII group codes of DXF release 12 (AC1009), which has no units: a comment says
    millimetres.
    """
    pairs = [*_outline(sheet.whole, "SHEET")]
    for each in sheet.placed:
        pairs += [*_outline(each.box, "PARTS"), *name_dxf(each.box, each.part.name)]
    for number, box in enumerate(sheet.kept, 1):
        pairs += [*_outline(box, "OFFCUTS"), *name_dxf(box, f"{KEPT}{number}")]
    return document_dxf(pairs)


def document_dxf(entities: list[tuple[int, str]]) -> str:
    """Return entities as a DXF of release 12."""
    pairs = [(999, "millimetres"), (0, "SECTION"), (2, "HEADER"), (9, "$ACADVER"), (1, "AC1009")]
    pairs += [(0, "ENDSEC"), (0, "SECTION"), (2, "ENTITIES"), *entities]
    pairs += [(0, "ENDSEC"), (0, "EOF")]
    return "".join(f"{code}\n{value}\n" for code, value in pairs)


def _outline(box: Box, layer: str) -> list[tuple[int, str]]:
    corners = (
        (box.x_um, box.y_um),
        (box.right_um, box.y_um),
        (box.right_um, box.top_um),
        (box.x_um, box.top_um),
    )
    return outline_dxf(corners, layer)


def outline_dxf(points, layer: str) -> list[tuple[int, str]]:
    """Return a closed line through points in um as group codes and values."""
    pairs = [(0, "POLYLINE"), (8, layer), (66, "1"), (10, "0"), (20, "0"), (30, "0")]
    pairs.append((70, str(CLOSED)))
    for x, y in points:
        pairs += [(0, "VERTEX"), (8, layer), (10, mm(x)), (20, mm(y)), (30, "0")]
    return [*pairs, (0, "SEQEND"), (8, layer)]


def name_dxf(box: Box, name: str) -> list[tuple[int, str]]:
    """Return a name in the lower left corner of a rectangle, as group codes and values."""
    height = min(box.length_um, box.width_um) // 8
    at = [(10, mm(box.x_um + height)), (20, mm(box.y_um + height)), (30, "0")]
    return [(0, "TEXT"), (8, "NAMES"), *at, (40, mm(max(height, 1))), (1, dxf_text(name))]


def dxf_text(text: str) -> str:
    """Return a text on one line, its letters beyond ASCII and the backslash as DXF writes them.

    A sign of more than four hexadecimal digits cannot be written and becomes a question mark.
    """
    text = "".join(each if ord(each) <= LAST_CODE else "?" for each in text)
    return "".join(
        each if LEAST_CODE <= ord(each) < ASCII_END and each != "\\" else f"\\U+{ord(each):04X}"
        for each in " ".join(text.split())
        if ord(each) >= LEAST_CODE
    )
