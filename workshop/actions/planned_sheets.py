"""A run that is opened for certain sheets in stock speaks for them, so that no second one is opened for them."""

from urllib.parse import urlsplit

from django.urls import Resolver404, resolve
from django.utils.http import url_has_allowed_host_and_scheme
from django.utils.translation import gettext_lazy as _

from inventory.actions.locks import lock_lots
from inventory.actions.refusals import refusal
from inventory.calculations.codes import group_code
from inventory.models import Form, Hold
from products.models import NestedPlan, Operation, Part
from products.queries.spoken_sheets import Claims, claims, pieces_of
from workshop.models import PlannedSheet, Run

MOST_PLANNED = 200
LONGEST_ADDRESS = 8000
CUT_PLAN, NESTED_PLAN = "products:cut-plan-create", "products:nested-plan-detail"
PlannedParts = tuple[tuple[Part, int], ...]


def guard_sheets(operation: str, sheets: PlannedParts) -> None:
    """Refuse sheets that a run cannot be opened for; their lots are locked until the act is over.

    Refuses `no-sheets` for any operation but cutting, and for what is no sheet, `too-many`,
    `not-in-stock` for what is gone, away, in a product or on hold, and `spoken-for` by another open run.
    """
    if not sheets:
        return
    if operation != Operation.CUT or any(part.design.form != Form.SHEET for part, _n in sheets):
        raise refusal("no-sheets", _("Only a run that cuts is opened for sheets; name no others."))
    if sum(pieces for _part, pieces in sheets) > MOST_PLANNED:
        raise refusal(
            "too-many", _("Open a run for %(most)s sheets at most."), most=str(MOST_PLANNED)
        )
    lock_lots(*(part.lot for part, _pieces in sheets))
    keys = [part.pk for part, _pieces in sheets]
    held = Hold.objects.open().values("lot")
    rows = Part.objects.here().filter(pk__in=keys, lot__assembled_at=None).exclude(lot__in=held)
    here, spoken = {part.pk: part for part in rows.select_related("lot")}, claims()
    for part, pieces in sheets:
        guard_sheet(part, pieces, here.get(part.pk), spoken)


def guard_cutting_list(operation: str, address: str) -> None:
    """Refuse `no-plan` for an address that is not that of a plan here, and for a run that cuts nothing."""
    if address and not (operation == Operation.CUT and leads_to_plan(address)):
        raise refusal(
            "no-plan", _("This is not the address of a cut plan here; open the run from the plan.")
        )


def leads_to_plan(address: str) -> bool:
    """Return whether an address, without host, is that of a cut plan or of a nested plan that is kept."""
    if len(address) > LONGEST_ADDRESS or not url_has_allowed_host_and_scheme(address, None):
        return False
    place = urlsplit(address)
    try:
        found = resolve(place.path)
    except Resolver404:
        return False
    if found.view_name == CUT_PLAN:
        return bool(place.query)
    return found.view_name == NESTED_PLAN and NestedPlan.objects.filter(**found.kwargs).exists()


def guard_sheet(part: Part, pieces: int, found: Part | None, spoken: Claims) -> None:
    """Refuse one sheet, or so many of a bag, that are gone or spoken for; `found` is what is here of it."""
    if found is None or found.pieces_left < pieces:
        raise refusal(
            "not-in-stock",
            _("%(code)s is not here any more, or on hold; make the cut plan again."),
            code=group_code(part.code),
        )
    others = spoken.get(part.pk, ())
    if found.pieces_left - pieces_of(others) < pieces:
        raise refusal(
            "spoken-for",
            _("%(run)s is to cut %(code)s; work on there, or make the cut plan again."),
            run=", ".join(claim.label for claim in others),
            code=group_code(part.code),
        )


def note_sheets(run: Run, sheets: PlannedParts) -> None:
    """Write down which sheets a run was opened for."""
    PlannedSheet.objects.bulk_create(
        PlannedSheet(run=run, part=part, pieces=pieces) for part, pieces in sheets
    )
