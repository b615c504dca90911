"""Nested plans: outlines of any shape on sheets, the kerf kept between them, in whole um.

The blade runs outside every outline, so two parts are a kerf apart or more. A plan is verified
by its geometry before anybody sees it, whatever found it. Masses are those of a flat sheet:
m = density x thickness x area; the yield is the area of the parts over that of the sheets.
"""

from dataclasses import dataclass
from fractions import Fraction

from shapely.geometry import box
from shapely.ops import unary_union

from products.calculations.cut_plans import (
    LEAST_LENGTH_MM,
    LEAST_WIDTH_MM,
    MOST_SHEETS,
    UM3_PER_MM3,
    UM_PER_MM,
    Box,
    CutPlanError,
    Saw,
    Stock,
    usable,
)
from products.calculations.outlines import Outline

MOST_SHAPES = 100
TURNS = {"none": (0,), "half": (0, 180), "quarter": (0, 90, 180, 270), "free": None}
SAME_DEG = 1e-6
TOUCH_UM = 50  # what a kerf or margin may be short of: as much as a flattened curve is off
MITRE = {"join_style": "mitre", "mitre_limit": 2}


@dataclass(frozen=True)
class Shape:
    """An outline that is wanted so many times, and how it may be turned on the sheet."""

    name: str
    outline: Outline
    count: int = 1
    turn: str = "none"


@dataclass(frozen=True)
class NestQuestion:
    """What is asked: stock, shapes, kerf and margin, and which size of offcut is kept, in um."""

    stock: tuple[Stock, ...]
    shapes: tuple[Shape, ...]
    saw: Saw
    least_length_um: int = LEAST_LENGTH_MM * UM_PER_MM
    least_width_um: int = LEAST_WIDTH_MM * UM_PER_MM


@dataclass(frozen=True)
class NestedPart:
    """A part where it is cut: which shape, turned by how much, and its outline on the sheet."""

    shape: int
    angle_deg: float
    outline: Outline


@dataclass(frozen=True)
class NestedSheet:
    """A sheet with its parts from left to right, in the order in which they are cut."""

    stock: Stock
    code: str
    placed: tuple[NestedPart, ...]


@dataclass(frozen=True)
class Nested:
    """The sheets in the order they are taken, and how many of which shape found no place."""

    question: NestQuestion
    sheets: tuple[NestedSheet, ...]
    missing: tuple[tuple[int, int], ...]


@dataclass(frozen=True)
class NestedFigures:
    """What becomes of the sheets used: masses in mg that sum up to the sheets', the yield 0 to 1."""

    sheets_mg: int
    parts_mg: int
    kept_mg: int
    scrap_mg: int
    dust_mg: int
    yielded: Fraction


def check_nesting(question: NestQuestion) -> None:
    """Raise CutPlanError for a question that is too large or has nothing in it.

    Codes: `no-parts`, `no-sheet`, `too-many-shapes`, `too-many-sheets`, `margin-too-wide`.
    """
    wanted = sum(shape.count for shape in question.shapes)
    sheets = sum(each.count for each in question.stock)
    rooms = [usable(each, question.saw) for each in question.stock]
    refusals = {
        "no-parts": not wanted,
        "no-sheet": not sheets,
        "too-many-shapes": wanted > MOST_SHAPES,
        "too-many-sheets": sheets > MOST_SHEETS,
        "margin-too-wide": any(min(each.length_um, each.width_um) <= 0 for each in rooms),
    }
    code = next((code for code, is_so in refusals.items() if is_so), None)
    if code:
        most = MOST_SHEETS if code == "too-many-sheets" else MOST_SHAPES
        raise CutPlanError(code, most=most)


def faults_of(nested: Nested) -> list[str]:
    """Return what is wrong with a plan by its geometry; nothing is where each part is whole and apart.

    `overlap`: two parts are closer than the kerf; `outside`: one reaches into the margin; `count`:
    other parts than were asked for; `shape`: one is not the outline asked, turned as it may be.
    Kerf and margin may be short of 0.05 mm, which is what a flattened curve may be off.
    """
    found = [fault for sheet in nested.sheets for fault in _faults_on(sheet, nested.question)]
    counts = [0] * len(nested.question.shapes)
    for sheet in nested.sheets:
        for each in sheet.placed:
            counts[each.shape] += 1
    for shape, missing in nested.missing:
        counts[shape] += missing
    if counts != [shape.count for shape in nested.question.shapes]:
        found.append("count")
    return found


def _faults_on(sheet: NestedSheet, question: NestQuestion) -> list[str]:
    room = usable(sheet.stock, question.saw)
    inside = box(room.x_um, room.y_um, room.right_um, room.top_um).buffer(TOUCH_UM, **MITRE)
    shapes = [each.outline.polygon for each in sheet.placed]
    slim = [shape.buffer(-TOUCH_UM / 2) for shape in shapes]
    found = ["outside" for shape in shapes if not inside.covers(shape)]
    for at, first in enumerate(slim):
        for second in slim[at + 1 :]:
            if first.intersects(second) or first.distance(second) < question.saw.kerf_um:
                found.append("overlap")
    return found + [
        "shape" for each in sheet.placed if not _is_as_asked(each, question.shapes[each.shape])
    ]


def _is_as_asked(part: NestedPart, shape: Shape) -> bool:
    """Return whether a part is the outline asked, only turned and moved, and turned as it may be."""
    angles = TURNS[shape.turn]
    if angles is not None and not any(
        abs((part.angle_deg - each) % 360) < SAME_DEG for each in angles
    ):
        return False
    turned = shape.outline.placed(part.angle_deg, 0, 0).points
    dx = part.outline.points[0][0] - turned[0][0]
    dy = part.outline.points[0][1] - turned[0][1]
    pairs = zip(turned, part.outline.points, strict=True)
    return all(max(abs(x + dx - px), abs(y + dy - py)) <= TOUCH_UM for (x, y), (px, py) in pairs)


def kerf_area_um2(sheet: NestedSheet, question: NestQuestion) -> int:
    """Return the area that the blade takes: a kerf around every part, once where two share it."""
    kerf_um = question.saw.kerf_um
    if not kerf_um or not sheet.placed:
        return 0
    parts = unary_union([each.outline.polygon for each in sheet.placed])
    whole = box(0, 0, sheet.stock.length_um, sheet.stock.width_um)
    ring = parts.buffer(kerf_um, **MITRE).intersection(whole).difference(parts)
    kept = kept_of(sheet, question)
    cut = box(kept.x_um - kerf_um, kept.y_um, kept.x_um, kept.top_um) if kept else None
    return round(ring.union(cut).area if cut else ring.area)


def kept_of(sheet: NestedSheet, question: NestQuestion) -> Box | None:
    """Return the rectangle right of all parts, less its kerf and the margins, where it is worth keeping.

    Parts lie at the left end, so this is what one straight cut leaves.
    """
    room = usable(sheet.stock, question.saw)
    ends = [each.outline.bounds[2] for each in sheet.placed]
    left = max([room.x_um, *(end + question.saw.kerf_um for end in ends)])
    kept = Box(left, room.y_um, room.right_um - left, room.width_um)
    short, long = sorted((kept.length_um, kept.width_um))
    least_short, least_long = sorted((question.least_length_um, question.least_width_um))
    return kept if short >= least_short and long >= least_long else None


def nested_figures(nested: Nested, thickness_um: int, density_g_cm3) -> NestedFigures:
    """Return the masses of a plan; scrap takes what rounding to the mg leaves."""
    per_um2 = Fraction(str(density_g_cm3)) * thickness_um / UM3_PER_MM3
    question = nested.question
    kept = [box for sheet in nested.sheets if (box := kept_of(sheet, question))]
    areas = {
        "sheets": sum(sheet.stock.area_um2 for sheet in nested.sheets),
        "parts": sum(each.outline.area_um2 for sheet in nested.sheets for each in sheet.placed),
        "kept": sum(box.area_um2 for box in kept),
        "dust": sum(kerf_area_um2(sheet, question) for sheet in nested.sheets),
    }
    mg = {name: round(area * per_um2) for name, area in areas.items()}
    for name in ("kept", "dust"):  # rounded up, they may be a mg more than what is left
        others = mg["parts"] + (mg["kept"] if name == "dust" else 0)
        mg[name] = max(0, min(mg[name], mg["sheets"] - others))
    return NestedFigures(
        sheets_mg=mg["sheets"],
        parts_mg=mg["parts"],
        kept_mg=mg["kept"],
        scrap_mg=mg["sheets"] - mg["parts"] - mg["kept"] - mg["dust"],
        dust_mg=mg["dust"],
        yielded=Fraction(areas["parts"], areas["sheets"]) if areas["sheets"] else Fraction(0),
    )
