"""A visit from its start to its end: a piece each by two taps, and all masses settled in one act."""

from django.db import transaction
from django.db.models import F, Q
from django.utils.translation import gettext_lazy as _

from inventory.actions.acts import CLOCK_SLACK, Act, earlier, need_reason
from inventory.actions.changes import outcome_of, record_change
from inventory.actions.fills import guard_holds
from inventory.actions.locks import fresh, lock_bins, lock_lots
from inventory.actions.lots import speak_for_lot
from inventory.actions.refusals import refusal
from inventory.calculations.coarseness import purpose
from inventory.models import Lot
from inventory.queries.lots import lot_label
from products.actions.addresses import frozen_for_print
from products.models import Design
from workshop.actions.machines import guard_machine, remember_polymer
from workshop.actions.settlements import Drawn, settle_run
from workshop.calculations.operations import RULES
from workshop.models import Machine, Piece, Visit
from workshop.queries.visits import pieces_by_lot, running_piece, spoken_for_mg


@transaction.atomic
def start_visit(*, design: Design, machine: Machine, act: Act) -> Visit:
    """Start a visit: one small design on one injection machine.

    Freezes the address of labels, for they are printed from now on. Refuses `wrong-design`,
    `wrong-machine`, `machine-busy` when a visit goes on there, `site-url` and `address-frozen`.
    A repeated UUID changes nothing.
    """
    request = act.request("start visit", design=design, machine=machine.name)
    if done := earlier(act, request):
        return outcome_of(done, Visit)
    machine = fresh(machine)
    guard_design(design)
    if machine.kind not in RULES["inject"].machines or machine.retired_at:
        raise refusal("wrong-machine", _("Choose an injection machine that is in use."))
    if machine.visits.open().exists():
        raise refusal(
            "machine-busy", _("A visit goes on at this machine; settle or abandon it first.")
        )
    frozen_for_print(act=act)
    visit = Visit.objects.create(
        design=design, machine=machine, started_at=act.at, started_by=act.by
    )
    record_change(act=act, subject=visit.number, request=request, row=visit)
    return visit


def guard_design(design: Design) -> None:
    """Refuse a design of which a person cannot have one piece of a known mass."""
    by_one = design.tracked == Design.Tracking.PIECE and design.pieces_per_cycle == 1
    if design.made_by != "inject" or not by_one or design.withdrawn_at:
        raise refusal(
            "wrong-design",
            _("Choose a design that is injected one piece at a time and tracked by piece."),
        )


def locked_visit(visit: Visit) -> Visit:
    """Return a fresh row of a visit, locked; refuses `visit-ended`."""
    rows = Visit.objects.select_for_update(of=("self",)).select_related("design", "machine")
    visit = rows.get(pk=visit.pk)
    if visit.ended_at:
        raise refusal("visit-ended", _("This visit is over; start a new one."))
    return visit


@transaction.atomic
def start_piece(*, visit: Visit, lot: Lot, act: Act) -> Piece:
    """Start one person's piece from what a bin holds; no mass moves before the visit is settled.

    Refuses `visit-ended`, `too-early`, `running` while a piece runs, `no-bin`, `empty`,
    `not-ready`, `short` when the book has no mass left for it, `on-hold`, `unknown-material`,
    `rejected-polymer`, `needs-purge` and `polymer-mismatch`. A repeated UUID changes nothing.
    """
    request = act.request("start piece", visit=visit.number, lot=lot)
    if done := earlier(act, request):
        return outcome_of(done, Piece)
    visit = locked_visit(visit)
    guard_time(act, visit.started_at)
    if running_piece(visit):
        raise refusal("running", _("A piece is being made; end it or take its start back first."))
    machine = fresh(visit.machine)
    (lot,) = lock_lots(lot)
    guard_lot(visit, machine, lot)
    piece = Piece.objects.create(
        visit=visit,
        lot=lot,
        nominal_mg=visit.design.nominal_mass_mg,
        found_clean=machine.last_polymer_id is None,
        started_at=act.at,
        started_by=act.by,
    )
    remember_polymer(machine, lot.polymer)
    speak_for_lot(lot, spoken_for_mg(lot))
    record_change(act=act, subject=visit.number, request=request, row=piece)
    return piece


def guard_time(act: Act, since) -> None:
    """Refuse `too-early`: a tablet that lost its clock would write pieces of years."""
    if act.at < since - CLOCK_SLACK:
        raise refusal(
            "too-early", _("This lies before it began; set the tablet's clock or the time.")
        )


def guard_lot(visit: Visit, machine: Machine, lot: Lot) -> None:
    """Refuse plastic from which no piece of the visit can be made."""
    if lot.bin is None or lot.kind not in {Lot.Kind.FILL, Lot.Kind.DELIVERY}:
        raise refusal("no-bin", _("Choose plastic that stands in a bin."))
    guard_holds(lot)
    guard_machine(machine, lot.polymer)
    allowed = list(visit.design.polymers.all())
    if allowed and lot.polymer not in allowed:
        raise refusal(
            "polymer-mismatch",
            _("%(design)s is made of %(allowed)s; choose another bin."),
            design=visit.design.name,
            allowed=", ".join(each.symbol for each in allowed),
        )
    if purpose(lot.form) != "ready":
        raise refusal("not-ready", _("Only flake and pellet can be injected; choose another bin."))
    if lot.free_mg < visit.design.nominal_mass_mg:
        raise refusal(
            "short",
            _("By the book %(bin)s holds too little for one more piece; choose another colour."),
            bin=lot_label(lot),
        )


@transaction.atomic
def end_piece(*, visit: Visit, act: Act) -> Piece:
    """End the piece that is being made; from now on its code counts, and its label can be printed.

    Refuses `visit-ended`, `no-piece` and `too-early`. A repeated UUID changes nothing.
    """
    request = act.request("end piece", visit=visit.number)
    if done := earlier(act, request):
        return outcome_of(done, Piece)
    visit = locked_visit(visit)
    piece = needed_piece(visit)
    guard_time(act, piece.started_at)
    piece.ended_at = max(act.at, piece.started_at)
    piece.save(update_fields=["ended_at"])
    record_change(act=act, subject=piece.code, request=request, row=piece)
    return piece


@transaction.atomic
def undo_start(*, visit: Visit, act: Act) -> Piece:
    """Take back the last start; a machine that had no last polymer before it has none again.

    Refuses `visit-ended` and `no-piece`. A repeated UUID changes nothing.
    """
    request = act.request("undo start", visit=visit.number)
    if done := earlier(act, request):
        return outcome_of(done, Piece)
    visit = locked_visit(visit)
    machine = fresh(visit.machine)
    piece = needed_piece(visit)
    take_back_start(piece, act)
    if piece.found_clean and machine.last_polymer_id == piece.lot.polymer_id:
        machine.last_polymer = None
        machine.save(update_fields=["last_polymer"])
    record_change(act=act, subject=visit.number, request=request, row=piece)
    return piece


def take_back_start(piece: Piece, act: Act) -> None:
    """Let a running piece never have been; what it took of its lot is free again."""
    piece.undone_at = act.at
    piece.save(update_fields=["undone_at"])
    (lot,) = lock_lots(piece.lot)
    speak_for_lot(lot, spoken_for_mg(lot))


def needed_piece(visit: Visit) -> Piece:
    """Return the piece that is being made, or refuse `no-piece`."""
    piece = running_piece(visit)
    if piece is None:
        raise refusal("no-piece", _("No piece is being made; start one by its colour."))
    return piece


@transaction.atomic
def settle_visit(*, visit: Visit, drawn: tuple[Drawn, ...], act: Act) -> Visit:
    """Book the whole visit: one run, a charge for each bin, and a part for each piece with its code.

    What a bin gave, less offcuts, purging and loss, is shared over its pieces by their nominal
    mass. All or nothing. Refuses `visit-ended`, `running`, `nothing-made`, `which-bins` unless each
    bin used is named once, `other-fill` when a bin was filled anew since, `over-book`, `too-little`
    and `too-much` for the pieces, `reason` when something was lost or thrown away, and what loading
    and weighing out refuse; the sentence names the bin. A repeated UUID changes nothing.
    """
    request = act.request("settle visit", visit=visit.number, drawn=[d.plain() for d in drawn])
    if done := earlier(act, request):
        return outcome_of(done, Visit)
    visit = locked_visit(visit)
    if running_piece(visit):
        raise refusal("running", _("A piece is being made; end it or take its start back first."))
    groups = pieces_by_lot(visit)
    guard_bins(groups, drawn)
    if any(each.lost_mg for each in drawn):
        need_reason(act)
    lock_settlement(visit, drawn)
    free_lots(visit)
    visit.run = settle_run(visit=visit, groups=groups, drawn=drawn, act=act)
    return ended(visit, act, request)


def guard_bins(groups: dict[Lot, list[Piece]], drawn: tuple[Drawn, ...]) -> None:
    """Refuse `nothing-made`, and `which-bins` unless each bin used is told of once."""
    if not groups:
        raise refusal("nothing-made", _("No piece was made; abandon the visit with a reason."))
    lots_of = {lot.bin: lot for lot in groups}
    told = [each.bin for each in drawn]
    for bin in [*lots_of, *told]:
        if told.count(bin) != 1 or bin not in lots_of:
            raise refusal(
                "which-bins", _("Weigh each bin used once; look at bin %(bin)s."), bin=bin.name
            )
    if len(lots_of) < len(groups):
        again = next(
            bin
            for bin, lot in lots_of.items()
            if any(other.bin_id == bin.pk and other != lot for other in groups)
        )
        raise refusal(
            "other-fill",
            _("Bin %(bin)s was filled anew during the visit; reverse that first."),
            bin=again.name,
        )


def lock_settlement(visit: Visit, drawn: tuple[Drawn, ...]) -> None:
    """Lock at once, in the order of locks, all that the steps of a settlement lock one by one.

    Those are the machine, the bins that take something, what these hold, and the lots that gave.
    """
    fresh(visit.machine)
    bins = lock_bins(*(side.bin for each in drawn for side in each.sides))
    used = Q(pk__in=visit.pieces.order_by().values("lot"))
    fills = Q(bin__in=list(bins), out_mg__lt=F("in_mg"))
    lock_lots(*Lot.objects.filter(used | fills))


def free_lots(visit: Visit) -> None:
    """Let the lots of a locked visit keep only what pieces of other visits took."""
    used = Lot.objects.filter(pk__in=visit.pieces.order_by().values("lot"))
    for lot in lock_lots(*used):
        speak_for_lot(lot, spoken_for_mg(lot, besides=visit))


def ended(visit: Visit, act: Act, request: dict) -> Visit:
    """Write down that a visit is over."""
    visit.ended_at, visit.ended_by = act.at, act.by
    visit.save()
    record_change(act=act, subject=visit.number, request=request, row=visit)
    return visit


@transaction.atomic
def abandon_visit(*, visit: Visit, act: Act) -> Visit:
    """End a visit without settling it, with a reason; its pieces never become parts.

    What was drawn shows when the bins are counted. Refuses `reason` and `visit-ended`. A repeated
    UUID changes nothing.
    """
    request = act.request("abandon visit", visit=visit.number)
    if done := earlier(act, request):
        return outcome_of(done, Visit)
    need_reason(act)
    visit = locked_visit(visit)
    if piece := running_piece(visit):
        take_back_start(piece, act)
    free_lots(visit)
    visit.abandon_reason = act.reason
    return ended(visit, act, request)
