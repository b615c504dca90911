"""A past transfer is mended through lots that have already given: what was written is undone, and
written anew as it was.

Each posting that changes gets its mirror image and, unless it never happened, a replacement that
keeps its place in the book and its time in the workshop. All of them are one act.
"""

from dataclasses import replace

from django.db import transaction
from django.utils.text import capfirst
from django.utils.translation import gettext_lazy as _

from inventory.actions.acts import LONGEST_REASON, Act, earlier, need_reason
from inventory.actions.fills import guard_bin_material, mixed_into
from inventory.actions.holds import hold_what_came_back
from inventory.actions.locks import hold_still, lock_bins, lock_postings
from inventory.actions.postings import spoken_for
from inventory.actions.refusals import refusal
from inventory.actions.rewrites import head_of, renew, write_correction
from inventory.calculations.corrections import FILL, Broken, Flow, NewLot
from inventory.calculations.movements import LOADED, PART, moving
from inventory.models import Bin, Lot, Material, Posting, Transfer
from inventory.queries.corrections import (
    Movement,
    effect_token,
    held_in,
    lots_reached,
    materials_after,
    movement_of,
    name_of,
)
from inventory.queries.drafts import Draft, Fix, draft_of
from inventory.queries.lots import lot_label
from inventory.queries.masses import exact_mass_said
from inventory.queries.postings import TAKE_APART, place_of

SENTENCES = {
    "follows": _(
        "%(posting)s only follows from other postings; correct the load, move or yield it follows from."
    ),
    "gone": _("%(posting)s does not stand any more; correct what replaced it."),
    "short": _(
        "%(lot)s would give %(mass)s more than it took at %(posting)s; correct that posting too."
    ),
    "short-here": _(
        "%(lot)s had %(mass)s less than that then; enter less, or correct what filled it."
    ),
    "over": _(
        "%(lot)s would have given %(mass)s more than it took, more than the scales explain;"
        " correct a load or %(posting)s too."
    ),
    "crowded": _(
        "%(lot)s came into a bin that would still have held %(mass)s;"
        " correct %(posting)s too, so that the two do not meet."
    ),
    "sealed": _(
        "%(lot)s had already given when it would have taken at %(posting)s; choose another."
    ),
    "ring": _("%(lot)s would be made of itself; choose what was there before it."),
    "too-far": _("This reaches too many postings; correct later ones first, or count the bin."),
    "polymer-mismatch": _(
        "%(lot)s would hold polymers that do not mix, at %(posting)s; correct that posting too."
    ),
    "unknown-material": _(
        "%(lot)s would mix unknown material with known, at %(posting)s; identify it first."
    ),
}


class Above:
    """What the layers above the ledger do about a correction; this one does nothing."""

    def lock(self, draft: Draft) -> None:
        """Lock what stands before bins and lots in the order of locks."""

    def lock_last(self, draft: Draft) -> None:
        """Lock what stands after bins and lots in the order of locks."""

    def guard(self, draft: Draft, materials: dict) -> None:
        """Refuse what the act itself would have been refused."""

    def follow(self, draft: Draft, made: dict[int, Posting]) -> None:
        """Let rows that name a posting name its replacement, by place in the book."""


NOTHING_ABOVE = Above()


@transaction.atomic
def correct_postings(  # noqa: PLR0913 (the content of one act)
    *, fixes: list[Fix], act: Act, shown: str, loss: str = "", above: Above = NOTHING_ABOVE
) -> Posting:
    """Mend past postings, through lots that have already given, in one act; return what heads it.

    `shown` stands for the effect that the person saw (`effect_token`). Refuses `reason`,
    `book-moved` when the effect is another by now, what the draft cannot bear (see SENTENCES),
    `gap` until a loss beyond the scales is named, `on-hold`, `assembled`, `spoken-for`, `retired`, and what a bin
    refuses. A repeated UUID changes nothing.
    """
    request = act.request("correct", fixes=[fix.plain() for fix in fixes], loss=loss)
    lock_postings(*(fix.posting for fix in fixes))
    if done := earlier(act, request):
        return done
    need_reason(act)
    lock_reach(drafted(fixes), above)
    draft = drafted(fixes)
    reached = lots_reached(draft)
    guard_shown(draft, reached, shown)
    guard_gaps(draft, loss)
    materials = guarded(draft, above)
    made = write_correction(draft, materials, replace(act, reason=reason_of(act, loss)), request)
    renew(draft, reached, made[head_of(draft)])
    hold_what_came_back(reached | lots_written(made), act)
    above.follow(draft, made)
    return made[head_of(draft)]


def lots_written(made: dict[int, Posting]) -> set[int]:
    """Return the lots that a correction's postings name, those it gave something back to and new ones too."""
    ends = Transfer.objects.filter(posting__in=made.values()).order_by()
    return {lot for pair in ends.values_list("source", "target") for lot in pair if lot}


def draft_correction(*, fixes: list[Fix], above: Above = NOTHING_ABOVE) -> Draft:
    """Return what some fixes would do, or refuse what `correct_postings` would; nothing is written.

    A loss that has no name yet is not refused: it is part of what is shown.
    """
    draft = drafted(fixes)
    guarded(draft, above)
    return draft


def drafted(fixes: list[Fix]) -> Draft:
    """Return the draft of some fixes, or refuse what it cannot bear."""
    if not fixes or not any(f.is_out or f.mass or f.source or f.target for f in fixes):
        raise refusal("nothing-changed", _("Nothing would change; say what was otherwise."))
    places = [place_of(fix.posting) for fix in fixes]
    if len(set(places)) < len(places):
        raise refusal("twice", _("One posting is corrected twice here; say it once."))
    for fix in fixes:
        guard_places(fix)
        guard_mass(fix)
    draft = Draft(fixes)
    try:
        draft_of(fixes, draft)
    except Broken as broken:
        raise refused_draft(draft, broken) from None
    if not draft.changed:
        raise refusal("nothing-changed", _("Nothing would change; say what was otherwise."))
    return draft


def guard_places(fix: Fix) -> None:
    """Refuse a source or target that this kind of movement cannot have had."""
    movement = movement_of(fix.posting)
    if movement is None:
        return
    wanted = {"charge"} if movement.is_out_of_charge else {"bin", "lot"}
    if fix.source and not (movement.may_change_source and sort_of(fix.source) in wanted):
        raise refusal("wrong-place", _("It cannot have come from there; choose another place."))
    wanted = {"charge"} if movement.role == LOADED else {"bin"}
    if fix.target and not (movement.may_change_target and sort_of(fix.target) in wanted):
        raise refusal("wrong-place", _("It cannot have gone there; choose another place."))
    guard_same_bin(fix, movement)


def guard_same_bin(fix: Fix, movement: Movement) -> None:
    """Refuse a movement out of a bin into itself."""
    ends = [
        new or (old.bin if old is not None else None)
        for new, old in ((fix.source, movement.source), (fix.target, movement.target))
    ]
    bins = [place if isinstance(place, Bin) else getattr(place, "bin", None) for place in ends]
    if (fix.source or fix.target) and bins[0] is not None and bins[0] == bins[1]:
        raise refusal(
            "same-bin", _("It cannot have gone where it came from; choose another place.")
        )


def guard_mass(fix: Fix) -> None:
    """Refuse a mass of nothing, and less than a milligram for each piece."""
    if fix.mass and fix.mass.mg < max(1, fix.posting.transfers.filter(role=PART).count()):
        raise refusal("mass", _("A mass must be above zero; weigh again."))


def sort_of(place: Bin | Lot) -> str:
    """Return whether a place is a bin, a charge, or a lot on the floor."""
    if isinstance(place, Bin):
        return "bin"
    return "charge" if place.kind == Lot.Kind.CHARGE else "lot"


def refused_draft(draft: Draft, broken: Broken):
    """Return the refusal of a draft that does not hold."""
    posting, code = draft.postings.get(broken.place), broken.code
    is_fixed = broken.place in {place_of(fix.posting) for fix in draft.fixes}
    number = posting.number if posting else Posting.number_of(broken.place)
    return refusal(
        code,
        SENTENCES["short-here" if code == "short" and is_fixed else code],
        lot=capfirst(name_of(draft, broken.lot)),
        posting=number,
        uuid=str(posting.uuid) if posting else "",
        mass=exact_mass_said(broken.mass_mg),
    )


def lock_reach(draft: Draft, above: Above) -> None:
    """Lock all that the draft reaches, in the order of locks."""
    above.lock(draft)
    keys = {lot.bin_id for lot in draft.touched if lot.bin_id} | bins_of(draft)
    lock_bins(*(Bin(pk=pk) for pk in keys))
    hold_still(lots_reached(draft) | {lot.pk for lot in draft.touched})
    above.lock_last(draft)


def bins_of(draft: Draft) -> set[int]:
    """Return the bins that new fills of a draft stand in."""
    news = [end for end in draft.ends(draft.after) if isinstance(end, NewLot)]
    return {end.owner for end in news if end.kind == FILL}


def guard_shown(draft: Draft, reached: set[int], shown: str) -> None:
    """Refuse `book-moved` when the effect is not the one that the person saw."""
    if effect_token(draft, reached) != shown:
        raise refusal(
            "book-moved", _("The book moved meanwhile; look at the effect again and accept it.")
        )


def guarded(draft: Draft, above: Above) -> dict:
    """Return the materials that lots get, after every guard but those of a closing's gap."""
    guard_draft_holds(draft)
    guard_assembled(draft)
    guard_spoken_for(draft)
    guard_bins(draft)
    try:
        materials = materials_after(draft)
    except Broken as broken:
        raise refused_draft(draft, broken) from None
    above.guard(draft, materials)
    return materials


def guard_draft_holds(draft: Draft) -> None:
    """Refuse `on-hold` when the correction would move mass of a lot that is on hold."""
    if hold := held_in(draft).first():
        sentence = _("%(lot)s is on hold; the lead must lift the hold first.")
        raise refusal("on-hold", sentence, lot=lot_label(hold.lot))


def guard_assembled(draft: Draft) -> None:
    """Refuse `assembled` when a thing put together with others would be gone, or give more or less."""
    moved = draft.delta()
    for lot in (each for each in draft.touched if each.assembled_at):
        in_mg, out_mg = moved.get(lot.pk, (0, 0))
        if out_mg or not lot.in_mg + in_mg:
            raise refusal("assembled", TAKE_APART, lot=lot_label(lot))


def guard_spoken_for(draft: Draft) -> None:
    """Refuse `spoken-for` when less than pieces of open visits took would be left of a fill."""
    moved = draft.delta()
    for lot in (each for each in draft.touched if each.spoken_for_mg):
        in_mg, out_mg = moved.get(lot.pk, (0, 0))
        if lot.free_mg + in_mg - out_mg < 0:
            raise spoken_for(lot)


def guard_gaps(draft: Draft, loss: str) -> None:
    """Refuse `gap` while a loss that the scales do not explain has no name."""
    for gap in draft.gaps:
        if gap.is_loss and not loss.strip():
            raise refusal(
                "gap",
                _(
                    "%(lot)s would miss %(gap)s and the scales explain only %(allowed)s;"
                    " say where the rest went."
                ),
                lot=capfirst(name_of(draft, gap.lot.pk)),
                gap=exact_mass_said(gap.after_mg),
                allowed=exact_mass_said(gap.allowed_mg),
            )


def guard_bins(draft: Draft) -> None:
    """Refuse what a bin would have refused of the movements that were led into it or grew."""
    for fix in draft.fixes:
        place = place_of(fix.posting)
        for flow in moving(draft.after[place]):
            if bin := bin_of_target(draft, flow.target):
                guard_entry(draft, place, bin, flow, fix)
    retired = [lot for lot in draft.touched if lot.bin and lot.bin.retired_at]
    for lot in retired:
        in_mg, out_mg = draft.delta().get(lot.pk, (0, 0))
        if lot.held_mg + in_mg - out_mg:
            sentence = _(
                "Bin %(bin)s is retired and would hold something; correct what emptied it."
            )
            raise refusal("retired", sentence, bin=lot.bin.name)


def bin_of_target(draft: Draft, end) -> Bin | None:
    """Return the bin that a movement ends in."""
    if isinstance(end, NewLot):
        return Bin.objects.select_related("polymer", "colour").get(pk=end.owner)
    return draft.lots[end].bin if end is not None else None


def guard_entry(draft: Draft, place: int, bin: Bin, flow: Flow, fix: Fix) -> None:
    """Refuse what the bin would have refused at that place in the book."""
    rest = [f for f in draft.after[place] if f.role == Transfer.Role.REMAINDER]
    held_mg = rest[0].mass_mg if rest else 0
    if fix.mass and held_mg + flow.mass_mg > bin.capacity_mg:
        sentence = _("Bin %(bin)s had no room for that much; check the mass.")
        raise refusal("overfull", sentence, bin=bin.name)
    if fix.source is None and fix.target is None or flow.source not in draft.lots:
        return
    giver = draft.lots[flow.source]
    incoming = Material(giver.polymer, giver.colour, giver.form)
    guard_bin_material(bin, incoming)
    if rest and rest[0].source in draft.lots:
        mixed_into(bin, {draft.lots[rest[0].source]: held_mg, giver: flow.mass_mg}, incoming)


def reason_of(act: Act, loss: str) -> str:
    """Return what the postings of a correction say of why, with the loss that was named."""
    said = f"{act.reason.rstrip('. ')}; {loss.strip()}"
    return said[:LONGEST_REASON] if loss.strip() else act.reason
