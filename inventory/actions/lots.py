"""What is done to a lot: move, dispose, hold, lift, identify."""

from datetime import datetime

from django.db import transaction
from django.utils.translation import gettext as _

from inventory.actions.acts import Act, earlier, need_reason
from inventory.actions.changes import outcome_of, record_change
from inventory.actions.fills import pour
from inventory.actions.holds import place_hold
from inventory.actions.locks import lock_bins, lock_lots, lock_with_fill
from inventory.actions.postings import Line, post
from inventory.actions.refusals import refusal
from inventory.models import (
    Bin,
    Hold,
    Identification,
    Lot,
    Mass,
    Polymer,
    Posting,
    Transfer,
)
from inventory.queries.lots import book_mass, is_on_hold, lot_label


@transaction.atomic
def move_lot(*, lot: Lot, bin: Bin, act: Act, mass: Mass | None = None) -> Posting:
    """Move part of a lot, or with no mass all of it, into a bin.

    Refuses `short`, `empty`, `same-bin`, `not-stock` and whatever the bin refuses.
    A repeated UUID changes nothing.
    """
    request = act.request("move", source=lot, bin=bin, mass=mass)
    if done := earlier(act, request):
        return done
    bin = lock_bins(bin)[bin.pk]
    fill, (lot,) = lock_with_fill(bin, lot)
    guard_stock(lot)
    if lot.bin_id == bin.pk:
        raise refusal("same-bin", _("It is in this bin already; choose another bin."))
    mass = mass or all_of(lot)
    return pour(source=lot, bin=bin, fill=fill, mass=mass, act=act, request=request)


@transaction.atomic
def dispose_lot(*, lot: Lot, act: Act, mass: Mass | None = None) -> Posting:
    """Throw away part or all of a lot, with a reason; also allowed for a lot on hold.

    Refuses `reason`, `short`, `empty` and `not-stock`. A repeated UUID changes nothing.
    """
    return post_out(lot, act, mass, Posting.Kind.DISPOSE, Transfer.Role.DISPOSED)


@transaction.atomic
def write_off_lot(*, lot: Lot, act: Act) -> Posting:
    """Book out what the book holds but the bin does not, when the bin was found empty.

    Refuses `reason`, `empty` and `not-stock`. A repeated UUID changes nothing.
    """
    return post_out(lot, act, None, Posting.Kind.EMPTY, Transfer.Role.COUNT)


def post_out(lot: Lot, act: Act, mass: Mass | None, kind: str, role: str) -> Posting:
    """Post mass from a lot to the outside."""
    request = act.request(str(kind), lot=lot, mass=mass)
    if done := earlier(act, request):
        return done
    need_reason(act)
    (lot,) = lock_lots(lot)
    guard_stock(lot)
    line = Line(lot, None, mass or all_of(lot), role)
    reference = str(lot.bin or lot)[:60]
    return post(act=act, kind=kind, lines=[line], request=request, reference=reference)


def guard_stock(lot: Lot) -> None:
    """Refuse a charge, which only its run empties."""
    if lot.kind == Lot.Kind.CHARGE:
        raise refusal("not-stock", _("This lot is in a machine; weigh it out of its run instead."))


def all_of(lot: Lot) -> Mass:
    """Return all that a lot holds by the book, or refuse `empty`."""
    if not lot.held_mg:
        raise refusal("empty", _("%(lot)s is empty; choose another one."), lot=lot_label(lot))
    return book_mass(lot)


def bind_lot(lot: Lot, at: datetime) -> None:
    """Let a locked lot give nothing from now on, since its thing is put together with others."""
    Lot.objects.filter(pk=lot.pk, assembled_at=None).update(assembled_at=at)


def free_lot(lot: Lot) -> None:
    """Let a locked lot give again."""
    Lot.objects.filter(pk=lot.pk).update(assembled_at=None)


def speak_for_lot(lot: Lot, mass_mg: int) -> None:
    """Let a locked fill keep so many mg for what was made of it and is not booked yet; 0 frees it."""
    Lot.objects.filter(pk=lot.pk).update(spoken_for_mg=mass_mg or None)


@transaction.atomic
def hold_lot(*, lot: Lot, act: Act) -> Hold:
    """Stop a lot with a reason until the lead lifts it.

    Refuses `reason`, `on-hold` when it is stopped already, and `empty` when it holds nothing
    that could be stopped. A repeated UUID changes nothing.
    """
    request = act.request("hold", lot=lot)
    if done := earlier(act, request):
        return outcome_of(done, Hold)
    need_reason(act)
    (lot,) = lock_lots(lot)
    if is_on_hold(lot):
        raise refusal("on-hold", _("This lot is on hold already; read the reason on its page."))
    all_of(lot)
    hold = place_hold(lot, act.reason, act)
    record_change(act=act, subject=lot.code, request=request, row=hold)
    return hold


def pass_holds_on(lines: list[Line], act: Act) -> None:
    """Put on hold what was made of something on hold, with the same reason and in the same recall."""
    givers = {line.source.pk for line in lines if line.source}
    holds = list(Hold.objects.open().filter(lot__in=givers).order_by("pk"))
    if not holds:
        return
    for target in {line.target.pk: line.target for line in lines if line.target}.values():
        behind = {line.source.pk for line in lines if line.target is target and line.source}
        known = {why_held(hold) for hold in target.holds.open()}
        for hold in (each for each in holds if each.lot_id in behind):
            if (why := why_held(hold)) in known:
                continue
            known.add(why)
            placed = place_hold(target, hold.reason, act)
            placed.recalls.set(why[1])


def why_held(hold: Hold) -> tuple[str, frozenset[int]]:
    """Return the reason of a hold, and the recalls that it stands by: two of them may have one reason."""
    return hold.reason, frozenset(hold.recalls.values_list("pk", flat=True))


def hold_what_is_doubtful(lot: Lot, act: Act) -> None:
    """Place a hold on material that nobody has identified, and on reject material."""
    if is_on_hold(lot):
        return
    if lot.polymer is None:
        place_hold(lot, _("Nobody knows yet what this is."), act)
    elif lot.polymer.is_rejected:
        why = _("%(polymer)s is not worked here.") % {"polymer": lot.polymer.symbol}
        place_hold(lot, why, act)


@transaction.atomic
def lift_hold(*, hold: Hold, act: Act) -> Hold:
    """Lift a hold with a reason; both roles stay on record.

    Refuses `reason`, `not-held` when it was lifted before. A repeated UUID changes nothing.
    """
    request = act.request("lift", lot=hold.lot, hold=hold.pk)
    if earlier(act, request):
        return Hold.objects.get(pk=hold.pk)
    need_reason(act)
    lock_lots(hold.lot)
    hold = Hold.objects.select_for_update().get(pk=hold.pk)
    if hold.lifted_at:
        raise refusal("not-held", _("This hold was lifted before; nothing is left to lift."))
    hold.lifted_at, hold.lifted_by = act.at, act.by
    hold.lifted_role, hold.lift_reason = act.role, act.reason
    hold.save()
    record_change(act=act, subject=hold.lot.code, request=request, row=hold)
    return hold


@transaction.atomic
def identify_lot(*, lot: Lot, polymer: Polymer, identified_by: str, act: Act) -> Lot:
    """Say what an unknown lot is and how that was told; its hold stays until lifted.

    What turns out to be reject material goes on hold. Refuses `reason`, `identity` for an
    unknown method, and `known` when it has a polymer. A repeated UUID changes nothing.
    """
    request = act.request("identify", lot=lot, polymer=polymer, identified_by=identified_by)
    if earlier(act, request):
        return Lot.objects.get(pk=lot.pk)
    need_reason(act)
    if identified_by == Identification.UNKNOWN:
        raise refusal("identity", _("Say how the polymer was told."))
    (lot,) = lock_lots(lot)
    if lot.polymer_id:
        raise refusal("known", _("This lot has a polymer already; a wrong one needs a correction."))
    lot.polymer = polymer
    lot.save(update_fields=["polymer"])
    hold_what_is_doubtful(lot, act)
    record_change(act=act, subject=lot.code, request=request, row=lot)
    return lot
