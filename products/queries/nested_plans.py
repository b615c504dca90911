"""Nested plans as pages and API print them."""

from dataclasses import dataclass
from decimal import Decimal

from django.db.models import QuerySet
from django.utils.translation import gettext

from products.calculations.cut_plans import Box, mm
from products.calculations.nestings import (
    Nested,
    NestedPart,
    NestedSheet,
    NestQuestion,
    kept_of,
    kerf_area_um2,
)
from products.models import NestedPlan
from products.models.windows import number_in_words
from products.queries.cut_plans import NO_BREAK, size_of

UM2_PER_CM2 = 100_000_000


def nested_plan_list() -> QuerySet[NestedPlan]:
    """Return the nested plans that were kept, newest first, without their geometry."""
    return NestedPlan.objects.select_related("by").defer("content").order_by("-pk")


@dataclass(frozen=True)
class NestedStep:
    """One line of a cutting list: the part, how it is turned, where its frame lies, how large that is."""

    name: str
    angle: str
    at: str
    size: str


@dataclass(frozen=True)
class NestedSheetSaid:
    """A sheet as a page shows it: its parts in the order of cutting, and the offcut to keep."""

    number: int
    size: str
    is_piece: bool
    code: str
    steps: list[NestedStep]
    kept: str
    kerf: str


def nested_sheets_said(nested: Nested) -> list[NestedSheetSaid]:
    """Return the sheets of a plan as a page shows them."""
    return [
        sheet_said(number, sheet, nested.question) for number, sheet in enumerate(nested.sheets, 1)
    ]


def sheet_said(number: int, sheet: NestedSheet, question: NestQuestion) -> NestedSheetSaid:
    """Return one sheet as a page shows it."""
    kept = kept_of(sheet, question)
    return NestedSheetSaid(
        number=number,
        size=size_of(Box(0, 0, sheet.stock.length_um, sheet.stock.width_um)),
        is_piece=sheet.stock.is_piece,
        code=sheet.code,
        steps=[step_of(part, question) for part in sheet.placed],
        kept=size_of(kept) if kept else "",
        kerf=f"{round(kerf_area_um2(sheet, question) / UM2_PER_CM2)}{NO_BREAK}cm²",
    )


def step_of(part: NestedPart, question: NestQuestion) -> NestedStep:
    """Return one line of the cutting list."""
    left, low, right, top = part.outline.bounds
    return NestedStep(
        name=question.shapes[part.shape].name,
        angle=f"{part.angle_deg:.1f}".rstrip("0").rstrip("."),
        at=f"{left / 1000:.1f}, {low / 1000:.1f}",
        size=f"{mm(round(right - left, -2))} × {mm(round(top - low, -2))}",
    )


def search_said(plan: NestedPlan) -> str:
    """Return how long a plan was searched for, in the reader's language; empty for plans of before it was kept."""
    if not plan.search:
        return ""
    facts = {
        "spent": number_in_words(Decimal(plan.search["spent_ms"]) / 1000),
        "asked": plan.search["asked_s"],
        "program": plan.search["program"],
    }
    return (
        gettext("Searched for %(spent)s s by the clock, %(asked)s s were asked for (%(program)s).")
        % facts
    )


def missing_said(nested: Nested) -> list[tuple[str, int]]:
    """Return the names of the shapes that found no place, and how many."""
    return [(nested.question.shapes[at].name, count) for at, count in nested.missing]
