"""What cut plans ask the book, and their figures as pages and API print them."""

from dataclasses import dataclass, replace
from decimal import Decimal

from django.utils.translation import gettext

from inventory.models import Polymer
from products.calculations.cut_drawings import KEPT
from products.calculations.cut_plans import (
    Box,
    CutPlan,
    Part,
    Question,
    SawnSheet,
    codes_taken,
    lies_on,
    made,
    mm,
)

NOTHING = "\u2013"
NO_BREAK = "\u00a0"


def missing_said(plan: CutPlan) -> list[str]:
    """Return in a sentence for each part that found no place how many are missing, and what would help."""
    return [missing_one(part, count, plan.question) for part, count in plan.missing]


def missing_one(part: Part, count: int, asked: Question) -> str:
    """Return what is missing of a part, and what would help: a turn, larger sheets, or more of them."""
    turned = replace(part, length_um=part.width_um, width_um=part.length_um)
    lies, stands = lies_on(part, asked), lies_on(turned, asked)
    if lies or (stands and part.may_turn):
        advice = (
            gettext("Add sheets.")
            if part.may_turn or not stands
            else gettext("Add sheets, or let it turn.")
        )
    elif stands:
        advice = gettext("Let it turn; as it lies every sheet is too small for it.")
    else:
        advice = gettext("Every sheet is too small for it; use larger ones.")
    said = gettext("No place for %(name)s: %(count)s missing.") % {
        "name": part.name,
        "count": count,
    }
    return f"{said} {advice}"


def densities() -> dict[str, Decimal]:
    """Return the typical density in g/cm3 of every polymer that has one, by symbol; one query."""
    rows = Polymer.objects.exclude(density_typical=None).order_by("symbol")
    return dict(rows.values_list("symbol", "density_typical"))


@dataclass(frozen=True)
class Step:
    """One line of a cutting list: which piece, which way, where, and what comes of its two sides."""

    piece: str
    size: str
    axis: str
    at_mm: str
    length_mm: str
    low: str
    high: str
    is_trim: bool


def cutting_list(sheet: SawnSheet) -> list[Step]:
    """Return the cuts of a sheet in order; what is sawn again later is called piece 1, 2 and so on."""
    named = names_of(sheet)
    return [
        Step(
            piece=named[cut.piece],
            size=size_of(cut.piece),
            axis=cut.axis,
            at_mm=mm(cut.at_um),
            length_mm=mm(cut.length_um),
            low=with_size(named, cut.low),
            high=with_size(named, cut.high),
            is_trim=cut.is_trim,
        )
        for cut in sheet.cuts
    ]


def names_of(sheet: SawnSheet) -> dict[Box, str]:
    """Return what each piece that a sheet ever consists of is called."""
    names = {box: gettext("scrap") for box in sheet.scrap}
    names |= {box: f"{KEPT}{number}" for number, box in enumerate(sheet.kept, 1)}
    names |= {each.box: each.part.name for each in sheet.placed}
    whole = gettext("the whole piece") if sheet.stock.is_piece else gettext("the whole sheet")
    names.setdefault(sheet.whole, whole)
    number = 0
    for cut in sheet.cuts[1:]:
        if cut.piece not in names:
            number += 1
            names[cut.piece] = gettext("piece %(number)s") % {"number": number}
    return names


def size_of(box: Box) -> str:
    """Return length and width in mm, as they lie on the sheet."""
    return f"{mm(box.length_um)}{NO_BREAK}×{NO_BREAK}{mm(box.width_um)}"


def with_size(named: dict[Box, str], box: Box | None) -> str:
    """Return a side of a cut by name and size; of a side that is gone, a dash."""
    return f"{named[box]}, {size_of(box)}" if box else NOTHING


@dataclass(frozen=True)
class SheetSaid:
    """A sheet as a page shows it: its number, size, parts by name, offcuts to keep and cuts."""

    number: int
    size: str
    is_piece: bool
    code: str
    parts: list[tuple[str, str, int]]
    kept: list[tuple[str, str]]
    steps: list[Step]


def sheets_said(plan: CutPlan) -> list[SheetSaid]:
    """Return the sheets of a plan as a page shows them."""
    return [
        SheetSaid(
            number=number,
            size=size_of(sheet.whole),
            is_piece=sheet.stock.is_piece,
            code=code,
            parts=[
                (part.name, size_of(Box(0, 0, part.length_um, part.width_um)), count)
                for part, count in made(sheet)
            ],
            kept=[(f"{KEPT}{at}", size_of(box)) for at, box in enumerate(sheet.kept, 1)],
            steps=cutting_list(sheet),
        )
        for number, (sheet, code) in enumerate(zip(plan.sheets, codes_taken(plan), strict=True), 1)
    ]
