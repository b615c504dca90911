"""Parts are put into other parts and taken out again; no mass moves, and what was stays readable.

A part is in one other at a time, at a line of its design's parts list. While it is in one, or
holds one, its lot gives nothing: what is put together is taken apart before it is granulated.
"""

from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from inventory.actions.acts import Act, earlier
from inventory.actions.changes import outcome_of, record_change
from inventory.actions.locks import lock_lots
from inventory.actions.lots import bind_lot, free_lot
from inventory.actions.refusals import refusal
from inventory.calculations.codes import group_code
from inventory.models import Hold, Lot
from products.models import Fixing, Part
from products.queries.fixings import (
    Holding,
    Slot,
    fixing_of,
    holders_above,
    holding_of,
    is_handed_over,
)


@transaction.atomic
def put_in(*, holder: Part, part: Part, act: Act, line: int | None = None) -> Fixing:
    """Put a part into another, the holder, at a line of its parts list; with none named, where it fits.

    Refuses of the part `used-up`, `on-hold`, `in-use` and `fixed` when it is in one already; of
    the holder `used-up`, `in-use` and `bag-holder`; and `ring`, `not-in-list`, `line-full` and
    `too-many`. A repeated UUID changes nothing.
    """
    request = act.request("put in", holder=holder, part=part, line=line)
    if done := earlier(act, request):
        return outcome_of(done, Fixing)
    part, holder, *above = lock_parts(part, holder, *holders_above(holder))
    guard_holder(holder, above)
    guard_loose(part, [holder, *above])
    fixing = fix(holder, part, slot_for(holding_of(holder), part, line), act)
    record_change(act=act, subject=holder.code, request=request, row=fixing)
    return fixing


@transaction.atomic
def take_out(*, part: Part, act: Act, state: str = "") -> Fixing:
    """Take a part out of the one that it is in; it is here again, and may be granulated.

    Refuses `not-fixed`, and `in-use` when it is out with the product. A repeated UUID changes nothing.
    """
    request = act.request("take out", part=part, state=state)
    if done := earlier(act, request):
        return outcome_of(done, Fixing)
    part, *above = lock_parts(part, *holders_above(part))
    fixing = loosen(part, above, act, state)
    record_change(act=act, subject=fixing.holder.code, request=request, row=fixing)
    return fixing


def lock_parts(*parts: Part) -> list[Part]:
    """Return fresh rows of parts and their lots, locked; the lots first, as a loading does."""
    lots = lock_lots(*(Lot(pk=part.lot_id) for part in parts))
    rows = Part.objects.select_for_update(of=("self",)).select_related("design")
    found = {row.pk: row for row in rows.filter(pk__in=[each.pk for each in parts]).order_by("pk")}
    for part, lot in zip(parts, lots, strict=True):
        found[part.pk].lot = lot
    return [found[part.pk] for part in parts]


def fix(holder: Part, part: Part, slot: Slot, act: Act) -> Fixing:
    """Write that a part is in another, both locked."""
    bind_lot(holder.lot, act.at)
    bind_lot(part.lot, act.at)
    return Fixing.objects.create(
        holder=holder,
        part=part,
        line=slot.item.line,
        put_in_at=act.at,
        put_in_by=act.by,
        noted_at=timezone.now(),
    )


def loosen(part: Part, above: list[Part], act: Act, state: str) -> Fixing:
    """Write that a part is out of the one that it was in, all locked."""
    fixing = fixing_of(part)
    if fixing is None:
        raise refusal("not-fixed", _("This part is in no other part; nothing is to be taken out."))
    guard_not_out(above)
    fixing.taken_out_at, fixing.taken_out_by = act.at, act.by
    fixing.state_when_taken_out, fixing.noted_at = state, timezone.now()
    fixing.save()
    free_if_alone(part)
    free_if_alone(fixing.holder)
    return fixing


def free_if_alone(part: Part) -> None:
    """Let the lot of a part give again once the part is in none and holds none."""
    open_ones = Fixing.objects.open()
    if not (open_ones.filter(part=part) | open_ones.filter(holder=part)).exists():
        free_lot(Lot(pk=part.lot_id))


def guard_holder(holder: Part, above: list[Part]) -> None:
    """Refuse a holder that is used up, several pieces under one code, or in use."""
    if not holder.lot.held_mg:
        raise refusal("used-up", _("The product has been used up; choose another one."))
    if holder.pieces_left > 1:
        raise refusal(
            "bag-holder",
            _("These are %(count)s pieces under one code; give one of them a code of its own."),
            count=holder.pieces_left,
        )
    guard_not_out([holder, *above])


def guard_not_out(parts: list[Part]) -> None:
    """Refuse what is in use, itself or with what it is in."""
    if is_handed_over(parts):
        raise refusal("in-use", _("The product is in use; take it back first."))


def guard_loose(part: Part, holders: list[Part]) -> None:
    """Refuse a part that could not be put in wherever it fits, or that holds the holder itself."""
    if part in holders:
        raise refusal("ring", _("A part cannot be in itself; choose another one."))
    if not part.lot.held_mg:
        raise refusal("used-up", _("This part has been used up; choose another one."))
    if Hold.objects.open().filter(lot=part.lot_id).exists():
        raise refusal("on-hold", _("This part is on hold; the lead must lift the hold first."))
    if is_handed_over([part]):
        raise refusal("in-use", _("This part is in use; take it back first."))
    guard_not_fixed(part)


def guard_not_fixed(part: Part) -> None:
    """Refuse a part that is in another one."""
    if fixing := fixing_of(part):
        raise refusal(
            "fixed",
            _("This part is in %(design)s %(code)s; take it out first."),
            design=fixing.holder.design.name,
            code=group_code(fixing.holder.code),
        )


def guard_apart(part: Part) -> None:
    """Refuse a part that is in another one, and one that holds others."""
    guard_not_fixed(part)
    if part.fixings.open().exists():
        raise refusal("holds-parts", _("This part holds other parts; take them out first."))


def slot_for(holding: Holding, part: Part, line: int | None) -> Slot:
    """Return the line that takes a part, or refuse it."""
    slots = holding.slots_for(part, line)
    if not slots:
        raise refusal(
            "not-in-list",
            _("%(design)s is not in the parts list at such a line; scan what is missing."),
            design=part.design.name,
        )
    slot = max(slots, key=lambda each: (bool(each.missing), -each.item.line))
    if not slot.missing:
        raise refusal(
            "line-full",
            _("All %(count)s of %(design)s are in it already; take one out first, or swap it."),
            count=slot.item.count,
            design=part.design.name,
        )
    if part.pieces_left > slot.missing:
        raise refusal(
            "too-many",
            _("Only %(missing)s of %(design)s are missing, and this is a bag of %(left)s."),
            missing=slot.missing,
            design=part.design.name,
            left=part.pieces_left,
        )
    return slot
