"""Loading: mass from bins and parts goes into a charge; a charge that has yielded is sealed."""

from dataclasses import dataclass
from math import ceil

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.translation import gettext_lazy as _

from inventory.actions.acts import Act, earlier
from inventory.actions.fills import guard_holds, mixed_polymer, wrong_polymer
from inventory.actions.locks import fresh, lock_lots
from inventory.actions.lots import all_of
from inventory.actions.postings import Line, post
from inventory.actions.refusals import refusal
from inventory.calculations.masses import split_mass
from inventory.calculations.weighing import sum_uncertainty
from inventory.models import Basis, Lot, Mass, Posting, Transfer
from inventory.queries.blends import (
    CannotMix,
    combined_colour,
    combined_form,
    combined_polymer,
)
from inventory.queries.lots import book_mass, lot_label
from inventory.queries.masses import bulk_said, mass_said
from products.actions.loose_parts import guard_apart
from products.models import Part
from workshop.actions.machines import guard_machine, remember_polymer
from workshop.actions.runs import guard_open, locked_open_run
from workshop.actions.surprises import ask_about_load
from workshop.calculations.operations import RULES
from workshop.models import Charge, Load, Machine, Run
from workshop.queries.charges import part_of
from workshop.queries.planned_sheets import claims_note
from workshop.queries.runs import current_charge


@dataclass(frozen=True)
class Portion:
    """What is loaded: some mass of a lot, all of it (no mass), or pieces of a part.

    With `remaining`, the net mass that the scale shows of the lot afterwards, it is what is gone since.
    """

    lot: Lot
    mass: Mass | None = None
    pieces: int | None = None
    remaining: Mass | None = None

    def plain(self) -> dict:
        """Return what a fingerprint needs of it."""
        mass = self.mass.plain() if self.mass else None
        plain = {"lot": self.lot.code, "mass": mass, "pieces": self.pieces}
        return plain | ({"remaining": self.remaining.plain()} if self.remaining else {})


@transaction.atomic
def load_run(
    *,
    run: Run,
    portion: Portion,
    act: Act,
    charge_number: int | None = None,
    is_confirmed: bool = False,
) -> Load:
    """Load a run from a bin's fill, a lot on the floor, or a part.

    Goes into the newest charge while that has not yielded, else into a new one.
    Refuses `run-closed`, `sealed` when a named charge has yielded, `wrong-load`, `in-use`, `fixed`
    and `holds-parts` for what is put together,
    `short`, `empty`, `over-book` when a bin weighed afterwards holds more than the book, `on-hold`,
    `unknown-material`, `rejected-polymer`, `needs-purge` and `polymer-mismatch`; `surprising`, also
    for a sheet that another open run is to cut, until it is confirmed. A repeated UUID changes nothing;
    the confirmation is no part of its content.
    """
    request = act.request("load", run=run, portion=portion, charge=charge_number)
    if done := earlier(act, request):
        return Load.objects.get(posting=done)
    run = locked_open_run(run)
    machine = fresh(run.machine)
    charge, is_new = charge_to_load(run, charge_number)
    lot = lock_with_charge(portion.lot, charge)
    part = locked_part(lot)
    guard_source(run, machine, charge, lot, part)
    mass, pieces, lines = loaded_mass(lot, part, portion)
    settle_material(run, charge, lot, mass, act)
    if not is_confirmed and 0 < mass.mg <= lot.held_mg:
        ask_about_load(run, charge, lot, mass, spoken=claims_note(run, part, pieces))
    lines = [Line(lot, charge.lot, mass, Transfer.Role.LOADED), *lines]
    posting = post(
        act=act, kind=Posting.Kind.LOAD, lines=lines, request=request, reference=run.reference
    )
    if is_new:
        charge.save()
    remember_polymer(machine, charge.lot.polymer)
    return Load.objects.create(
        charge=charge, posting=posting, source=lot, part=part, mass_mg=mass.mg, pieces=pieces
    )


def locked_part(lot: Lot) -> Part | None:
    """Return the part of a part's locked lot, locked too, or None."""
    if lot.kind != Lot.Kind.PART:
        return None
    part = Part.objects.select_for_update(of=("self",)).get(lot=lot)
    part.lot = lot
    return part


def why_not_loaded(*, run: Run, lot: Lot) -> ValidationError | None:
    """Return why a run takes nothing of a lot now, whatever the mass, or None.

    Asked when a bin is scanned, before anything is weighed; it writes and locks nothing.
    """
    charge, _is_new = charge_to_load(run, None)
    try:
        guard_open(run)
        guard_source(run, run.machine, charge, lot, part_of(lot))
        all_of(lot)
        guard_mixture(run, charge, lot)
    except ValidationError as refused:
        return refused
    return None


def guard_source(run: Run, machine: Machine, charge: Charge, lot: Lot, part: Part | None) -> None:
    """Refuse what run, machine or charge do not take, whatever the mass."""
    guard_load(run, lot, part)
    guard_holds(lot)
    guard_charge(charge, machine, lot)


def guard_mixture(run: Run, charge: Charge, lot: Lot) -> None:
    """Refuse `polymer-mismatch` where no blend could come of charge and lot, or the design takes none."""
    held = charge.lot if charge.lot_id and charge.lot.in_mg else None
    try:
        polymer = combined_polymer({held.polymer, lot.polymer}) if held else lot.polymer
    except CannotMix:
        place = _("Charge %(number)s") % {"number": charge.number}
        raise wrong_polymer(place, held.polymer.symbol, lot.polymer) from None
    guard_design_polymer(run, polymer)


def guard_load(run: Run, lot: Lot, part: Part | None) -> None:
    """Refuse what this operation does not take, and a part that is in use or put together with others."""
    rule = RULES[run.operation]
    if part:
        if not rule.takes_parts:
            raise refusal("wrong-load", _("This operation takes no parts; granulate them first."))
        if part.handovers.filter(back_at=None).exists():
            raise refusal("in-use", _("This part is in use; take it back first."))
        guard_apart(part)
        return
    if lot.kind == Lot.Kind.CHARGE:
        raise refusal("wrong-load", _("This lot is in a machine; weigh it out of its run first."))
    if not rule.takes_bins:
        raise refusal("wrong-load", _("This operation takes sheets, profiles or parts; scan one."))


def charge_to_load(run: Run, number: int | None) -> tuple[Charge, bool]:
    """Return the charge that takes the next load, and whether it is new."""
    if number is not None:
        charge = run.charges.select_related("lot").filter(number=number).first()
        if charge is None:
            raise refusal("no-charge", _("This run has no charge of that number."))
        return charge, False
    charge = current_charge(run)
    if charge and charge.lot.out_mg == 0:
        return charge, False
    return Charge(run=run, number=run.charges.count() + 1), True


def lock_with_charge(lot: Lot, charge: Charge) -> Lot:
    """Return a fresh row of the lot, locked together with the lot of a charge that exists already."""
    if charge.lot_id is None:
        return lock_lots(lot)[0]
    lot, charge.lot = lock_lots(lot, charge.lot)
    return lot


def guard_charge(charge: Charge, machine: Machine, lot: Lot) -> None:
    """Refuse a charge that takes nothing more, and a machine that must not take this."""
    if charge.lot_id is None:
        guard_machine(machine, lot.polymer)
        return
    if charge.lot.out_mg or charge.lot.closed_at:
        raise refusal(
            "sealed",
            _("Charge %(number)s has yielded and is sealed; load the next charge."),
            number=charge.number,
        )
    guard_holds(charge.lot)
    guard_machine(machine, lot.polymer, charge.lot.polymer if charge.lot.in_mg else None)


def loaded_mass(lot: Lot, part: Part | None, portion: Portion) -> tuple[Mass, int, list[Line]]:
    """Return the mass loaded, the pieces used, and the line for what a worn part has lost."""
    if part is None:
        drawn = drawn_mass(lot, portion.remaining) if portion.remaining else portion.mass
        return drawn or all_of(lot), 0, []
    if portion.remaining:
        raise refusal("wrong-load", _("A part is weighed itself; enter its own mass."))
    all_of(lot)
    pieces = part.pieces_left if portion.pieces is None else portion.pieces
    if not 0 < pieces <= part.pieces_left:
        raise refusal(
            "short",
            _("Only %(left)s pieces are left of it; enter that many or fewer."),
            left=part.pieces_left,
        )
    book_mg = split_mass(lot.held_mg, [pieces, part.pieces_left - pieces])[0]
    whole = pieces == part.pieces_left
    mass = portion.mass or (book_mass(lot) if whole else Mass(book_mg, Basis.BOOK))
    if mass.mg > book_mg:
        # The scale may show a trace more than the book; the book's figure is what can be given.
        mass = trimmed(mass, book_mg, lot)
    worn_mg = book_mg - mass.mg
    worn = [Line(lot, None, Mass(worn_mg, Basis.BOOK), Transfer.Role.LOSS)] if worn_mg else []
    return mass, pieces, worn


def drawn_mass(lot: Lot, remaining: Mass) -> Mass:
    """Return what was drawn from a lot: the book less what the scale shows of it afterwards.

    Both figures are uncertain, so their variances add (JCGM 100, 5.1.2). Refuses `spoken-for` when
    pieces of an open visit were taken from it too, `over-book` when the scale shows more than the
    book, and `mass` when it shows just as much.
    """
    if lot.spoken_for_mg:
        raise refusal(
            "spoken-for",
            _("Pieces of an open visit came out of %(lot)s too; enter the mass that was drawn."),
            lot=lot.bin.name,
        )
    book = all_of(lot)
    drawn_mg = book.mg - remaining.mg
    if drawn_mg < 0:
        raise refusal(
            "over-book",
            _("The scale shows %(over)s more in %(lot)s than the book; count it first, then load."),
            over=mass_said(-drawn_mg),
            lot=lot.bin.name if lot.bin else lot_label(lot),
        )
    if drawn_mg == 0:
        raise refusal("mass", _("The scale shows just what the book says, so nothing was taken."))
    uncertainty_ug = ceil(sum_uncertainty((book.uncertainty_ug, remaining.uncertainty_ug)))
    return Mass(drawn_mg, remaining.basis, remaining.scale, uncertainty_ug)


def trimmed(mass: Mass, book_mg: int, lot: Lot) -> Mass:
    """Return the book mass where a weighing exceeds it within its uncertainty; else refuse `short`."""
    variance = mass.uncertainty_ug**2 + book_mass(lot).uncertainty_ug ** 2
    if (mass.mg - book_mg) * 1000 > 2 * variance**0.5:
        raise refusal(
            "short",
            _("The book says %(mass)s for it; weigh again or take the book's figure."),
            mass=bulk_said(book_mg),
        )
    return Mass(book_mg, mass.basis, mass.scale, mass.uncertainty_ug)


def settle_material(run: Run, charge: Charge, lot: Lot, mass: Mass, act: Act) -> None:
    """Give the charge's lot the material it has after this load, or refuse `polymer-mismatch`."""
    if charge.lot_id is None:
        charge.lot = Lot(
            kind=Lot.Kind.CHARGE,
            polymer=lot.polymer,
            colour=lot.colour,
            form=lot.form,
            opened_at=act.at,
        )
    elif charge.lot.in_mg:
        held = charge.lot
        place = _("Charge %(number)s") % {"number": charge.number}
        held.polymer = mixed_polymer({held: held.in_mg, lot: mass.mg}, place)
        both = [held.material, lot.material]
        held.colour, held.form = combined_colour(both), combined_form(both)
    else:
        held = charge.lot
        held.polymer, held.colour, held.form = lot.polymer, lot.colour, lot.form
    guard_design_polymer(run, charge.lot.polymer)


def guard_design_polymer(run: Run, polymer) -> None:
    """Refuse `polymer-mismatch` when the design is not made of this polymer."""
    if run.design is None:
        return
    allowed = list(run.design.polymers.all())
    if allowed and polymer not in allowed:
        raise refusal(
            "polymer-mismatch",
            _("%(design)s is made of %(allowed)s, not of %(got)s; choose another bin."),
            design=run.design.name,
            allowed=", ".join(each.symbol for each in allowed),
            got=polymer.symbol if polymer else "?",
        )


@transaction.atomic
def carry_over(*, run: Run, act: Act) -> Load:
    """Carry what is left of the newest charge into the next one, as in a hopper that is topped up.

    Refuses `run-closed`, `on-hold`, and `empty` when nothing is left or nothing was yielded yet.
    A repeated UUID changes nothing.
    """
    request = act.request("carry over", run=run)
    if done := earlier(act, request):
        return Load.objects.get(posting=done)
    run = locked_open_run(run)
    charge = current_charge(run)
    if charge is None or not charge.lot.out_mg or not charge.lot.held_mg:
        raise refusal("empty", _("Nothing is left to carry over; load from a bin."))
    (lot,) = lock_lots(charge.lot)
    guard_holds(lot)
    following = Charge(run=run, number=run.charges.count() + 1)
    mass = book_mass(lot)
    settle_material(run, following, lot, mass, act)
    line = Line(lot, following.lot, mass, Transfer.Role.CARRIED)
    posting = post(
        act=act, kind=Posting.Kind.LOAD, lines=[line], request=request, reference=run.reference
    )
    following.save()
    return Load.objects.create(charge=following, posting=posting, source=lot, mass_mg=mass.mg)
