"""Nesting: a plan is searched for once, verified, and kept as it was found."""

from dataclasses import dataclass
from decimal import Decimal
from time import monotonic

from django.db import transaction
from django.utils import timezone

from inventory.actions.acts import Act, earlier
from inventory.actions.changes import outcome_of, record_change
from inventory.actions.refusals import refusal
from products.calculations.cut_plans import CutPlanError
from products.calculations.nesting import PROGRAM, USUAL_SECONDS, nest
from products.calculations.nesting_records import nested_record, question_record
from products.calculations.nestings import Nested, NestQuestion, nested_figures
from products.models import NestedPlan
from products.queries.sentences import said


@dataclass(frozen=True)
class NestAsk:
    """A question with the material of its sheets, and about how many seconds are searched."""

    question: NestQuestion
    polymer: str
    colour: str
    thickness_um: int
    density_g_cm3: Decimal
    is_from_stock: bool = False
    seconds: int = USUAL_SECONDS

    def plain(self) -> dict:
        """Return what a fingerprint needs of it; sheets in stock come and go, so they are not named."""
        asked = question_record(self.question)
        if self.is_from_stock:
            asked["stock"] = self.colour
        more = {"polymer": self.polymer, "thickness_um": self.thickness_um}
        return asked | more | {"density": str(self.density_g_cm3)}


def make_nested_plan(*, ask: NestAsk, act: Act) -> NestedPlan:
    """Search a nested plan, verify it and keep it; the search locks nothing.

    Refuses what `check_nesting` does, `not-nested` and `not-verified`. A repeated UUID searches
    nothing and has the plan that was found first.
    """
    request = act.request("nest", ask=ask)
    if done := found_earlier(act, request):
        return done
    try:
        began = monotonic()
        nested = nest(ask.question, ask.seconds)
        spent_ms = round((monotonic() - began) * 1000)
    except CutPlanError as error:
        raise refusal(error.code, said(error.sentence)) from error
    return keep_nested(nested=nested, ask=ask, act=act, spent_ms=spent_ms)


@transaction.atomic
def found_earlier(act: Act, request: dict) -> NestedPlan | None:
    """Return the plan that the same UUID made before, or None."""
    done = earlier(act, request)
    return outcome_of(done, NestedPlan) if done else None


@transaction.atomic
def keep_nested(*, nested: Nested, ask: NestAsk, act: Act, spent_ms: int) -> NestedPlan:
    """Write a verified plan down with how long was searched, by the clock, and with what.

    Where a repeat was quicker, the plan of that one holds.
    """
    request = act.request("nest", ask=ask)
    if done := earlier(act, request):
        return outcome_of(done, NestedPlan)
    figures = nested_figures(nested, ask.thickness_um, ask.density_g_cm3)
    masses = {name: mg for name, mg in vars(figures).items() if name.endswith("_mg")}
    search = {"asked_s": ask.seconds, "spent_ms": spent_ms, "program": PROGRAM}
    plan = NestedPlan.objects.create(
        uuid=act.key,
        polymer=ask.polymer,
        thickness_um=ask.thickness_um,
        density_g_cm3=ask.density_g_cm3,
        content=nested_record(nested) | {"search": search},
        made_at=timezone.now(),
        by=act.by,
        **masses,
    )
    record_change(act=act, subject=plan.number, request=request, row=plan)
    return plan
