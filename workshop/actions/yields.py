"""Weighing out: what a charge became goes into parts, into bins, or out of the workshop."""

from dataclasses import dataclass
from math import ceil

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.translation import gettext_lazy as _

from inventory.actions.acts import Act, earlier, need_reason
from inventory.actions.fills import fill_bin, new_gain
from inventory.actions.locks import lock_bins, lock_lots, lock_with_fill
from inventory.actions.lots import pass_holds_on
from inventory.actions.postings import Line, post
from inventory.actions.refusals import refusal
from inventory.calculations.charge_rests import shared_gain
from inventory.calculations.codes import new_code
from inventory.calculations.masses import split_mass
from inventory.models import Bin, Lot, Mass, Material, Posting, Transfer
from inventory.queries.lots import open_lot_in
from inventory.queries.masses import bulk_said
from products.actions.parts import write_parts
from products.calculations.sheet_sizes import Size
from products.models import Design
from workshop.actions.runs import locked_open_run
from workshop.actions.surprises import ask_about_yield
from workshop.calculations.operations import RULES, form_of_yield, is_melted
from workshop.models import CODED, Charge, Run, Yield
from workshop.queries.kept_pieces import LoadedSheets, loaded_sheets
from workshop.queries.runs import charge_balance, open_charges

MOST_PIECES = 500


@dataclass(frozen=True)
class Outcome:
    """One thing weighed out of a charge; mass in total. Without a bin, what is not a part is disposed of.

    Parts may have codes that were given before, one for each lot. A kept piece has its size, and
    the design of the sheet it was cut from where sheets of several were loaded.
    """

    kind: str
    mass: Mass
    pieces: int = 0
    bin: Bin | None = None
    codes: tuple[str, ...] = ()
    size: Size | None = None
    sheet: Design | None = None

    def plain(self) -> dict:
        """Return what a fingerprint needs of it."""
        bin_code = self.bin.code if self.bin else None
        plain = {
            "kind": str(self.kind),
            "mass": self.mass.plain(),
            "pieces": self.pieces,
            "bin": bin_code,
        }
        plain |= {"codes": list(self.codes)} if self.codes else {}
        plain |= {"size": str(self.size)} if self.size else {}
        return plain | ({"sheet": str(self.sheet)} if self.sheet else {})


@transaction.atomic
def yield_from_run(
    *,
    run: Run,
    outcome: Outcome,
    act: Act,
    charge_number: int | None = None,
    is_confirmed: bool = False,
) -> Yield:
    """Weigh out one thing that a charge became; from now on the charge is sealed.

    What weighs more than the charge held counts as weighing difference while the scales
    explain it. A machine must be emptied, so a charge on hold may be weighed out; what it
    becomes is on hold too. Refuses `run-closed`, `no-charge`, `wrong-yield`, `mass`,
    `pieces`, `short`, `reason` for a disposal, and what the bin refuses; for a kept piece `size`,
    `no-sheet` and `which-sheet`; `surprising` until it is confirmed. A repeated UUID changes
    nothing; the confirmation is no part of its content.
    """
    request = act.request("yield", run=run, outcome=outcome, charge=charge_number)
    if done := earlier(act, request):
        return Yield.objects.get(posting=done)
    run = locked_open_run(run)
    charge = charge_to_empty(run, charge_number)
    design = guard_outcome(run, outcome, act)
    targets, lines = places(run, charge, outcome, design, act)
    lines += flows(run, charge, outcome, targets, act)
    if not is_confirmed:
        ask_about_yield(run, charge, outcome)
    posting = post(
        act=act, kind=Posting.Kind.YIELD, lines=lines, request=request, reference=run.reference
    )
    pass_holds_on(lines, act)
    if design:
        counts = pieces_by_lot(design, outcome)
        made = {"lots": targets, "pieces": counts, "posting": posting, "size": outcome.size}
        write_parts(design=design, **made)
    return Yield.objects.create(
        charge=charge,
        posting=posting,
        kind=outcome.kind,
        mass_mg=outcome.mass.mg,
        pieces=outcome.pieces,
        bin=outcome.bin,
    )


def why_not_put_into(*, run: Run, charge: Charge, kind: str, bin: Bin) -> ValidationError | None:
    """Return why a bin takes nothing of a kind that a charge yields, whatever the mass, or None.

    Asked when the bin is scanned, before anything is weighed; it writes and locks nothing.
    """
    giver = charge.lot
    form = form_of_yield(run.operation, kind, giver.form)
    incoming = Material(giver.polymer, giver.colour, form)
    fill = open_lot_in(bin)
    try:
        fill_bin(bin=bin, fill=fill, giver=giver, incoming=incoming, mass_mg=1, at=giver.opened_at)
    except ValidationError as refused:
        return refused
    return None


def charge_to_empty(run: Run, number: int | None) -> Charge:
    """Return the charge to weigh out of; refuses `no-charge`."""
    charges = open_charges(run)
    charge = charges.last() if number is None else charges.filter(number=number).first()
    if charge is None:
        raise refusal("no-charge", _("Load the machine first; there is no charge to weigh out."))
    return charge


def guard_outcome(run: Run, outcome: Outcome, act: Act) -> Design | None:
    """Return the design of what gets codes, or None; refuse what the operation does not give."""
    if outcome.kind not in RULES[run.operation].yields:
        raise refusal("wrong-yield", _("This operation gives no such thing; choose another kind."))
    if outcome.mass.mg <= 0:
        raise refusal("mass", _("A mass must be above zero; weigh again."))
    if outcome.kind in CODED:
        design = run.design if outcome.kind == Yield.Kind.PART else guard_kept(run, outcome).design
        guard_parts(design, outcome)
        return design
    if outcome.bin is None:
        need_reason(act)
    return None


def guard_kept(run: Run, outcome: Outcome) -> LoadedSheets:
    """Return the sheets that a kept piece was cut from; refuses `size`, `no-sheet`, `which-sheet`."""
    if outcome.size is None:
        raise refusal("size", _("Measure the piece: enter its length and its width."))
    found = loaded_sheets(run)
    if outcome.sheet:
        found = [each for each in found if each.design == outcome.sheet]
    if not found:
        raise refusal("no-sheet", _("No such sheet was loaded; a kept piece is cut from a sheet."))
    if len(found) > 1:
        raise refusal(
            "which-sheet", _("Sheets of several designs were loaded; say which one this was.")
        )
    if not found[0].takes(outcome.size):
        raise refusal(
            "size",
            _("The largest sheet loaded is %(size)s; measure the piece again."),
            size=found[0].largest,
        )
    return found[0]


def guard_parts(design: Design | None, outcome: Outcome) -> None:
    """Refuse parts without a design or a sensible count."""
    if design is None:
        raise refusal("needs-design", _("This run has no design; open one that makes parts."))
    by_piece = is_by_piece(design, outcome)
    if outcome.pieces < 1 or (by_piece and outcome.pieces > MOST_PIECES):
        raise refusal(
            "pieces",
            _("Enter how many pieces were made, at most %(most)s in one entry."),
            most=MOST_PIECES,
        )
    if outcome.mass.mg < outcome.pieces:
        raise refusal("pieces", _("The mass is too small for so many pieces; check both."))


def places(
    run: Run, charge: Charge, outcome: Outcome, design: Design | None, act: Act
) -> tuple[list, list[Line]]:
    """Return the lots that take the outcome (None for outside), locked, and lines that make room."""
    lot = charge.lot
    if design:
        charge.lot = lock_lots(lot)[0]
        counts = pieces_by_lot(design, outcome)
        codes = outcome.codes or [new_code() for _count in counts]
        lots = zip(counts, codes, strict=True)
        return [part_lot(design, charge.lot, act, code) for _count, code in lots], []
    if outcome.bin is None:
        charge.lot = lock_lots(lot)[0]
        return [None], []
    bin = lock_bins(outcome.bin)[outcome.bin.pk]
    fill, (charge.lot,) = lock_with_fill(bin, lot)
    form = form_of_yield(run.operation, outcome.kind, charge.lot.form)
    target, lines = fill_bin(
        bin=bin,
        fill=fill,
        giver=charge.lot,
        incoming=Material(charge.lot.polymer, charge.lot.colour, form),
        mass_mg=outcome.mass.mg,
        at=act.at,
    )
    return [target], lines


def is_by_piece(design: Design, outcome: Outcome) -> bool:
    """Return whether each piece gets a code of its own, as a kept one always does."""
    return outcome.kind == Yield.Kind.KEPT or design.tracked == Design.Tracking.PIECE


def pieces_by_lot(design: Design, outcome: Outcome) -> list[int]:
    """Return how many pieces each new lot stands for: one each, or all in one bag."""
    return [1] * outcome.pieces if is_by_piece(design, outcome) else [outcome.pieces]


def part_lot(design: Design, charged: Lot, act: Act, code: str) -> Lot:
    """Return the unsaved lot of a part made from a charge."""
    return Lot(
        code=code,
        kind=Lot.Kind.PART,
        polymer=charged.polymer,
        colour=charged.colour,
        form=design.form,
        opened_at=act.at,
    )


def flows(run: Run, charge: Charge, outcome: Outcome, targets: list, act: Act) -> list[Line]:
    """Return the lines from the charge to its targets, and from a weighing gain where it came out over.

    No piece is of a gain alone as long as the charge has a milligram for each, so that all are traced to it.
    """
    masses = split_mass(outcome.mass.mg, [1] * len(targets))
    uncertainty_ug = ceil(outcome.mass.uncertainty_ug / len(targets) ** 0.5)
    melted = is_melted(run.operation, outcome.kind)
    guard_surplus(charge, outcome)
    lines, gain = [], new_gain(charge.lot.material, act.at)
    found = shared_gain(masses, outcome.mass.mg - charge.lot.held_mg)
    for target, mass_mg, gained_mg in zip(targets, masses, found, strict=True):
        role = role_of(outcome) if target else Transfer.Role.DISPOSED
        given_mg = mass_mg - gained_mg
        basis = (outcome.mass.basis, outcome.mass.scale, uncertainty_ug)
        if given_mg:
            lines.append(Line(charge.lot, target, Mass(given_mg, *basis), role, melted))
        if gained_mg and target:
            lines.append(Line(gain, target, Mass(gained_mg), Transfer.Role.DIFFERENCE))
    found_mg = sum(line.mass.mg for line in lines if line.source is gain)
    if found_mg:
        lines.append(Line(None, gain, Mass(found_mg), Transfer.Role.DIFFERENCE))
    return lines


def role_of(outcome: Outcome) -> str:
    """Return what the mass of an outcome is in the ledger: a kept piece is a part."""
    return Transfer.Role.PART if outcome.kind in CODED else outcome.kind


def guard_surplus(charge: Charge, outcome: Outcome) -> None:
    """Refuse `short` when more comes out than the charge holds and the scales can explain."""
    over_mg = outcome.mass.mg - charge.lot.held_mg
    if over_mg <= 0:
        return
    balance = charge_balance(charge)
    variance = (balance.expanded_mg / 2) ** 2 + (outcome.mass.uncertainty_ug / 1000) ** 2
    gained_mg = max(0, -balance.gap_mg) + over_mg
    is_thrown_away = outcome.bin is None and outcome.kind not in CODED
    nothing_to_book = is_thrown_away and not charge.lot.held_mg
    if nothing_to_book or gained_mg > 2 * variance**0.5:
        raise refusal(
            "short",
            _("The charge holds only %(mass)s more; weigh again, or load what is missing."),
            mass=bulk_said(charge.lot.held_mg),
        )
