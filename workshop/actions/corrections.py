"""Corrections as the workshop makes them: with the runs whose charges they reach."""

from dataclasses import replace

from django.db import transaction
from django.utils.translation import gettext_lazy as _

from inventory.actions.acts import Act
from inventory.actions.corrections import Above
from inventory.actions.corrections import correct_postings as correct_in_ledger
from inventory.actions.corrections import draft_correction as draft_in_ledger
from inventory.actions.refusals import refusal
from inventory.calculations.corrections import CARRIED
from inventory.calculations.masses import split_mass
from inventory.calculations.movements import LOADED, moved_mg
from inventory.models import Basis, Lot, Posting
from inventory.queries.corrections import movement_of
from inventory.queries.drafts import Draft, Fix
from inventory.queries.postings import place_of
from products.actions.corrections import name_new_making
from products.models import Part
from workshop.actions.charges import guard_design_polymer
from workshop.actions.machines import guard_what_enters
from workshop.calculations.operations import RULES
from workshop.models import Charge, Load, Run, Yield
from workshop.queries.corrections import charges_of

CHARGE, PART = Lot.Kind.CHARGE, Lot.Kind.PART


@transaction.atomic
def correct_postings(*, fixes: list[Fix], act: Act, shown: str, loss: str = "") -> Posting:
    """Mend past postings in one act; loads, yields and parts follow to the replacements.

    Refuses what the ledger refuses (`inventory.actions.corrections`), and for charges that take
    otherwise than they did `wrong-load`, `wrong-charge`, `unknown-material`, `rejected-polymer`
    and `polymer-mismatch`. A repeated UUID changes nothing.
    """
    fixes = [with_share(with_reference(fix)) for fix in fixes]
    return correct_in_ledger(fixes=fixes, act=act, shown=shown, loss=loss, above=IN_WORKSHOP)


def draft_correction(*, fixes: list[Fix]) -> Draft:
    """Return what some fixes would do, or refuse what `correct_postings` would; nothing is written."""
    return draft_in_ledger(fixes=[with_share(fix) for fix in fixes], above=IN_WORKSHOP)


def with_reference(fix: Fix) -> Fix:
    """Return a fix that names the run of the charge it leads to."""
    for place in (fix.source, fix.target):
        if isinstance(place, Lot) and place.kind == CHARGE:
            charge = Charge.objects.select_related("run").filter(lot=place).first()
            return replace(fix, reference=charge.run.reference) if charge else fix
    return fix


def with_share(fix: Fix) -> Fix:
    """Return a fix that leads a load to another part with what its pieces weigh of that by the book."""
    if not isinstance(fix.source, Lot) or fix.source.kind != PART:
        return fix
    load = Load.objects.filter(posting=fix.posting).first()
    part = Part.objects.select_related("lot").filter(lot=fix.source).first()
    if load is None or part is None or part.pk == load.part_id or not part.pieces_left:
        return fix
    left = part.pieces_left
    pieces = min(left, pieces_meant(fix, load, part))
    return replace(fix, share_mg=split_mass(part.lot.held_mg, [pieces, left - pieces])[0])


def pieces_meant(fix: Fix, load: Load, part: Part) -> int:
    """Return how many pieces of another part were loaded: as many by the book, by mass where that was told."""
    is_by_book = fix.posting.transfers.filter(role=LOADED, basis=Basis.BOOK).exists()
    if load.part_id and is_by_book and not fix.mass:
        return load.pieces
    return pieces_of(load, part, fix.mass.mg if fix.mass else load.mass_mg)


class InWorkshop(Above):
    """Runs, charges, loads, yields and parts about a correction of the ledger."""

    def lock(self, draft: Draft) -> None:
        """Lock the runs of the charges that change, in primary-key order."""
        runs = Run.objects.filter(charges__lot__in=keys_of(draft, CHARGE)).values("pk")
        list(Run.objects.select_for_update().filter(pk__in=runs).order_by("pk"))

    def lock_last(self, draft: Draft) -> None:
        """Lock the parts that change, in primary-key order; a handover locks the lot first, too."""
        parts = Part.objects.filter(lot__in=keys_of(draft, PART))
        list(parts.select_for_update().order_by("pk"))

    def guard(self, draft: Draft, materials: dict) -> None:
        """Refuse what loading and weighing out would have refused."""
        charges, changed = charges_of(keys_of(draft, CHARGE)), set(draft.changed)
        for fix in draft.fixes:
            if (
                place_of(fix.posting) in changed
            ):  # what stays as it was may name what is not changed
                guard_fix(draft, fix, charges)
        for key, charge in charges_of(set(materials) | keys_of(draft, CHARGE)).items():
            if key in materials:
                guard_charge_material(charge, materials[key].polymer)

    def follow(self, draft: Draft, made: dict[int, Posting]) -> None:
        """Write the loads and yields of the replacements, and let parts name theirs."""
        charges = charges_of(keys_of(draft, CHARGE))
        for place, right in made.items():
            wrong = draft.postings[place]
            if right.reverses_id is None:
                name_new_making(wrong=wrong, right=right)
                follow_load(draft, place, right, charges)
                follow_yield(draft, place, right, charges)


IN_WORKSHOP = InWorkshop()


def keys_of(draft: Draft, kind: str) -> set[int]:
    """Return the lots of a kind whose steps change."""
    return {lot.pk for lot in draft.touched if lot.kind == kind}


def guard_fix(draft: Draft, fix: Fix, charges: dict[int, Charge]) -> None:
    """Refuse a load or a yield that this operation would not have known."""
    flows = draft.after[place_of(fix.posting)]
    if not flows or not (fix.source or fix.target):
        return
    flow = flows[-1]
    if flow.role == LOADED and fix.source:
        guard_load_source(draft.lots.get(flow.source), charges[flow.target].run)
    if movement_of(fix.posting).is_out_of_charge and fix.source:
        guard_same_making(fix, charges)


def guard_load_source(source: Lot | None, run: Run) -> None:
    """Refuse `wrong-load` where this operation takes no parts, or nothing else."""
    rule, is_part = RULES[run.operation], source is not None and source.kind == PART
    if not (rule.takes_parts if is_part else rule.takes_bins):
        raise refusal("wrong-load", _("This operation does not take that; choose another source."))


def guard_same_making(fix: Fix, charges: dict[int, Charge]) -> None:
    """Refuse `wrong-charge` where the other charge would not have given the same thing."""
    made = Yield.objects.select_related("charge__run").get(posting=fix.posting)
    was, now = made.charge.run, charges[fix.source.pk].run
    if was.operation != now.operation or was.design_id != now.design_id:
        raise refusal("wrong-charge", _("That run makes something else; choose another charge."))


def guard_charge_material(charge: Charge, polymer) -> None:
    """Refuse what must never have gone into this machine, and what its design is not made of."""
    guard_what_enters(charge.run.machine, polymer)
    guard_design_polymer(charge.run, polymer)


def follow_load(draft: Draft, place: int, right: Posting, charges: dict[int, Charge]) -> None:
    """Write the load of a replacement where the posting had one."""
    load = Load.objects.select_related("part").filter(posting=draft.postings[place]).first()
    if load is None:
        return
    row = right.transfers.select_related("source").get(role__in=[LOADED, CARRIED])
    part = Part.objects.filter(lot=row.source).first() if row.source.kind == PART else None
    Load.objects.create(
        charge=charges[row.target_id],
        posting=right,
        source=row.source,
        part=part,
        mass_mg=row.mass_mg,
        pieces=pieces_of(load, part, row.mass_mg),
    )


def pieces_of(load: Load, part: Part | None, mass_mg: int) -> int:
    """Return how many pieces were loaded: as many as before of the same part, else by mass."""
    if part is None or part == load.part:
        return load.pieces if part else 0
    return max(1, round(part.pieces * mass_mg / part.lot.in_mg))


def follow_yield(draft: Draft, place: int, right: Posting, charges: dict[int, Charge]) -> None:
    """Write the yield of a replacement where the posting had one."""
    made = Yield.objects.filter(posting=draft.postings[place]).first()
    if made is None:
        return
    row = right.transfers.select_related("target__bin").filter(source__kind=CHARGE).first()
    lot = row.source_id if row else made.charge.lot_id
    Yield.objects.create(
        charge=charges.get(lot, made.charge),
        posting=right,
        kind=made.kind,
        mass_mg=moved_mg(draft.after[place]),
        pieces=made.pieces,
        bin=row.target.bin if row and row.target else made.bin,
    )
