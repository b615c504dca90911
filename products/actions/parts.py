"""Parts are made by runs, handed over, and come back; none of it moves mass by itself."""

from django.db import transaction
from django.utils.translation import gettext_lazy as _

from inventory.actions.acts import Act, earlier
from inventory.actions.changes import outcome_of, record_change
from inventory.actions.refusals import refusal
from inventory.calculations.codes import group_code
from inventory.models import Hold, Lot, Posting
from products.actions.loose_parts import (
    ask_about_claims,
    guard_not_fixed,
    lock_parts,
    lock_related,
)
from products.calculations.sheet_sizes import Size, size_fields
from products.models import Design, Handover, Part
from products.queries.fixings import parts_inside
from products.queries.spoken_sheets import HANDED_OVER, claims_on


def write_parts(
    *,
    design: Design,
    lots: list[Lot],
    pieces: list[int],
    posting: Posting,
    size: Size | None = None,
) -> list[Part]:
    """Write the parts that a posting made, one for each lot, sharing its code; `size` is their own."""
    parts = [
        Part(
            code=lot.code,
            design=design,
            lot=lot,
            made_in=posting,
            pieces=count,
            made_at=posting.happened_at,
            **size_fields(size),
        )
        for lot, count in zip(lots, pieces, strict=True)
    ]
    return Part.objects.bulk_create(parts)


@transaction.atomic
def hand_over_part(*, part: Part, act: Act, to: str = "", is_confirmed: bool = False) -> Handover:
    """Hand a part over into use; it stays in the book and may come back.

    What it holds goes with it. Refuses `used-up`, `on-hold` for a hold on it or on anything in it,
    `fixed` when it is in another part, and `in-use`; `surprising` for a sheet that an open run is to
    cut, until it is confirmed. A repeated UUID changes nothing; the confirmation is no part of its content.
    """
    request = act.request("hand over", part=part, to=to)
    if done := earlier(act, request):
        return outcome_of(done, Handover)
    part, *inside = lock_related(lambda: parts_inside(part), part)
    if not part.lot.held_mg:
        raise refusal("used-up", _("This part has been used up; choose another one."))
    guard_not_fixed(part)
    guard_no_holds(part, inside)
    if part.handovers.filter(back_at=None).exists():
        raise refusal("in-use", _("This part is in use already; take it back first."))
    if not is_confirmed:
        ask_about_claims(claims_on(part), HANDED_OVER)
    handover = Handover.objects.create(part=part, out_at=act.at, out_by=act.by, to=to)
    record_change(act=act, subject=part.code, request=request, row=handover)
    return handover


@transaction.atomic
def take_back_part(*, part: Part, act: Act, state: str = "") -> Handover:
    """Take a part back from use; it may be repaired, handed over again or granulated.

    Refuses `not-in-use`. A repeated UUID changes nothing.
    """
    request = act.request("take back", part=part, state=state)
    if done := earlier(act, request):
        return outcome_of(done, Handover)
    (part,) = lock_parts(part)
    handover = part.handovers.filter(back_at=None).first()
    if handover is None:
        raise refusal("not-in-use", _("This part is here already; nothing is to be taken back."))
    handover.back_at, handover.back_by, handover.state_on_return = act.at, act.by, state
    handover.save()
    record_change(act=act, subject=part.code, request=request, row=handover)
    return handover


def guard_no_holds(part: Part, inside: list[Part]) -> None:
    """Refuse a part that is on hold, or that holds one which is."""
    held = Hold.objects.open().filter(lot__in=[each.lot_id for each in [part, *inside]])
    stopped = set(held.values_list("lot", flat=True))
    if part.lot_id in stopped:
        raise refusal("on-hold", _("This part is on hold; the lead must lift the hold first."))
    for each in inside:
        if each.lot_id in stopped:
            raise refusal(
                "on-hold",
                _(
                    "It holds %(design)s %(code)s, which is on hold; lift the hold or swap it first."
                ),
                design=each.design.name,
                code=group_code(each.code),
            )
