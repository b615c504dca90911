"""Parts are put into other parts and taken out again; no mass moves, and what was stays readable.

A part is in one other at a time, at a line of its design's parts list. While it is in one, or
holds one, its lot gives nothing: what is put together is taken apart before it is granulated.
A bag gives as many pieces as are wanted, as a part of their own.
"""

from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from inventory.actions.acts import Act, earlier
from inventory.actions.changes import outcome_of, record_change
from inventory.actions.lots import bind_lot, free_lot
from inventory.actions.refusals import refusal
from inventory.models import Lot
from products.actions.bags import divided
from products.actions.loose_parts import (
    ask_about_claims,
    guard_loose,
    guard_not_out,
    lock_related,
)
from products.models import Fixing, Part
from products.queries.fixings import (
    Holding,
    Slot,
    fixing_of,
    holders_above,
    holding_of,
)
from products.queries.spoken_sheets import PUT_IN, claims_short

PIECES_OUT = "pieces out"  # the step of an act that gives pieces in a product a code of their own


@transaction.atomic
def put_in(
    *,
    holder: Part,
    part: Part,
    act: Act,
    line: int | None = None,
    pieces: int | None = None,
    is_confirmed: bool = False,
) -> Fixing:
    """Put a part into another, the holder, at a line of its parts list; with none named, where it fits.

    A bag gives so many pieces, or with none named as many as are missing there. Refuses of the
    part `used-up`, `on-hold`, `in-use`, `pieces`, and `fixed` when it is in one already; of the holder
    `used-up`, `in-use` and `bag-holder`; and `ring`, `not-in-list`, `line-full` and `too-many`;
    `surprising` for a sheet that an open run is to cut, until it is confirmed. A repeated UUID
    changes nothing; the confirmation is no part of its content.
    """
    request = act.request("put in", holder=holder, part=part, line=line, pieces=pieces)
    if done := earlier(act, request):
        return outcome_of(done, Fixing)
    part, holder, *above = lock_related(lambda: holders_above(holder), part, holder)
    guard_holder(holder, above)
    guard_ring(part, [holder, *above])
    guard_loose(part)
    slot = slot_for(holding_of(holder), part, line)
    count = count_for(slot, part, pieces)
    if not is_confirmed:
        ask_about_claims(claims_short(part, count), PUT_IN)
    fixing = fix(holder, some_of(part, count, act), slot, act)
    record_change(act=act, subject=holder.code, request=request, row=fixing)
    return fixing


@transaction.atomic
def take_out(*, part: Part, act: Act, state: str = "", pieces: int | None = None) -> Fixing:
    """Take a part, or some pieces of it, out of the one that it is in; then it is here like any other.

    Fewer pieces than are in become a part of their own, which was in since the rest was. Refuses
    `not-fixed`, `pieces`, and `in-use` when it is out with the product. A repeated UUID changes nothing.
    """
    request = act.request("take out", part=part, state=state, pieces=pieces)
    if done := earlier(act, request):
        return outcome_of(done, Fixing)
    part, *above = lock_related(lambda: holders_above(part), part)
    fixing = loosen(part, above, pieces, act)
    end(fixing, state, act)
    record_change(act=act, subject=fixing.holder.code, request=request, row=fixing)
    return fixing


@transaction.atomic
def swap_part(
    *,
    part: Part,
    new: Part,
    act: Act,
    state: str = "",
    pieces: int | None = None,
    is_confirmed: bool = False,
) -> Fixing:
    """Take a part out of the one that it is in, with what is wrong with it, and put another in its place.

    Of several pieces so many are swapped, or with no number all. What came out is here like any
    other part, and its place stays readable. Refuses and asks back what taking out and putting in
    do. A repeated UUID changes nothing; the confirmation is no part of its content.
    """
    request = act.request("swap", part=part, new=new, state=state, pieces=pieces)
    if done := earlier(act, request):
        return outcome_of(done, Fixing)
    new, part, *above = lock_related(lambda: holders_above(part), new, part)
    guard_ring(new, above)
    guard_loose(new)
    out = loosen(part, above, pieces, act)
    count = out.part.pieces_left
    end(out, state, act)
    slot = slot_in_place(above[0], new, out.line)
    count = count_for(slot, new, min(count, new.pieces_left))
    if not is_confirmed:
        ask_about_claims(claims_short(new, count), PUT_IN)
    fixing = fix(above[0], some_of(new, count, act), slot, act)
    record_change(act=act, subject=out.holder.code, request=request, row=fixing)
    return fixing


def slot_in_place(holder: Part, new: Part, line: int) -> Slot:
    """Return the line that another part was at, or where its list was changed since, one that takes the new."""
    holding = holding_of(holder)
    is_there = bool(holding.slots_for(new, line))
    return slot_for(holding, new, line if is_there else None)


def count_for(slot: Slot, part: Part, pieces: int | None) -> int:
    """Return how many pieces of a part go into a slot, or refuse too many."""
    wanted = min(slot.missing, part.pieces_left) if pieces is None else pieces
    if wanted > slot.missing:
        raise refusal(
            "too-many",
            _("Only %(missing)s of %(design)s are missing there; put in fewer."),
            missing=slot.missing,
            design=part.design.name,
        )
    return wanted


def some_of(part: Part, count: int, act: Act) -> Part:
    """Return the part itself, or so many pieces of a bag as a part of their own."""
    return part if count == part.pieces_left else divided(part, count, act.followed_by("pieces"))


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


def loosen(part: Part, above: list[Part], pieces: int | None, act: Act) -> Fixing:
    """Return the fixing of a locked part that is to be taken out, or refuse; of some pieces, their own."""
    fixing = fixing_of(part)
    if fixing is None:
        raise refusal("not-fixed", _("This part is in no other part; nothing is to be taken out."))
    guard_not_out(above)
    if pieces in (None, part.pieces_left):
        return fixing
    free_lot(part.lot)  # it gives some, and is bound again
    out = divided(part, pieces, act.followed_by(PIECES_OUT))
    bind_lot(part.lot, part.lot.assembled_at)
    return Fixing(
        holder=fixing.holder,
        part=out,
        line=fixing.line,
        put_in_at=fixing.put_in_at,
        put_in_by=fixing.put_in_by,
    )


def end(fixing: Fixing, state: str, act: Act) -> None:
    """Write that the part of a fixing is out, and let its lot give again."""
    fixing.taken_out_at, fixing.taken_out_by = act.at, act.by
    fixing.state_when_taken_out, fixing.noted_at = state, timezone.now()
    fixing.save()
    free_if_alone(fixing.part)
    free_if_alone(fixing.holder)


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


def guard_ring(part: Part, holders: list[Part]) -> None:
    """Refuse a part that is the holder, or that holds it."""
    if part in holders:
        raise refusal("ring", _("A part cannot be in itself; choose another one."))


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
    return slot
