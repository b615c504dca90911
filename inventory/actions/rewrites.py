"""What a correction writes: mirrors, replacements, new lots, and the counters of all it changes."""

from dataclasses import replace

from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from inventory.actions.acts import Act
from inventory.actions.postings import Line, transfer_row, write_mirror, written
from inventory.actions.refusals import refusal
from inventory.calculations.corrections import FILL, Flow, NewLot, changed_places
from inventory.calculations.fingerprints import fingerprint
from inventory.calculations.movements import moving
from inventory.models import Lot, Mass, OriginClass, Posting, Scale, Transfer
from inventory.queries.drafts import Draft, first_kind
from inventory.queries.postings import place_of
from inventory.queries.traces import batches


def head_of(draft: Draft) -> int:
    """Return the place of the posting that stands for the act: that of the first fix that changes anything."""
    places = [place_of(fix.posting) for fix in draft.fixes]
    changed = changed_places(
        *({p: book[p] for p in places} for book in (draft.before, draft.after))
    )
    return next(place for place in places if place in changed)


def write_correction(draft: Draft, materials: dict, act: Act, request: dict) -> dict[int, Posting]:
    """Write mirrors, new lots, replacements and new closings; return what stands for each place.

    The first fix's replacement, or its mirror where it never happened, carries the act's UUID. All
    are recorded at one moment, so that the book never was known with half a correction in it.
    """
    act = replace(act, noted_at=timezone.now())
    made = {place: undo(draft, place, act, request) for place in draft.changed}
    lots = draft.lots | new_lots(draft, materials, made[head_of(draft)])
    move_counters(draft)
    Lot.objects.bulk_create([lot for lot in lots.values() if lot.pk is None])
    for place in draft.changed:
        if draft.after[place]:
            made[place] = write_anew(draft, place, lots, act, request)
    write_closings(draft, lots, act, request)
    settle_all(materials)
    return made


def move_counters(draft: Draft) -> None:
    """Move the counters of the lots that there are, first those that hold nothing afterwards."""
    delta = {key: moved for key, moved in draft.delta().items() if not isinstance(key, NewLot)}

    def left_mg(key):
        return draft.lots[key].held_mg + delta[key][0] - delta[key][1]

    for key in sorted(delta, key=lambda key: (left_mg(key) > 0, key)):
        lot, (in_mg, out_mg) = draft.lots[key], delta[key]
        as_read = Lot.objects.filter(pk=key, in_mg=lot.in_mg, out_mg=lot.out_mg)
        if not as_read.update(in_mg=lot.in_mg + in_mg, out_mg=lot.out_mg + out_mg):
            raise refusal(
                "book-moved", _("The book moved meanwhile; look at the effect again and accept it.")
            )


def settle_all(materials: dict) -> None:
    """Let the lots that there are be called what goes into them now."""
    for key, material in materials.items():
        if not isinstance(key, NewLot):
            fields = {"polymer": material.polymer, "colour": material.colour, "form": material.form}
            Lot.objects.filter(pk=key).update(**fields)


def renew(draft: Draft, reached: set[int], head: Posting) -> None:
    """Let every lot behind which something changed say so: remembered shares go by who filled it."""
    for some in batches(reached | {lot.pk for lot in draft.touched}):
        Lot.objects.filter(pk__in=some).update(filled_by=head)


def key_for(draft: Draft, place: int, act: Act, *, is_mirror: bool):
    """Return the act for one of the postings: the head has the act's own UUID."""
    stands = bool(draft.after[place])
    if place == head_of(draft) and is_mirror != stands:
        return act
    step = "undone" if is_mirror else "anew"
    return act.followed_by(f"{draft.postings[place].uuid} {step}")


def undo(draft: Draft, place: int, act: Act, request: dict) -> Posting:
    """Write the mirror of a posting; the counters are moved apart."""
    posting = draft.postings[place]
    transfers = list(posting.transfers.select_related("source", "target", "scale"))
    mirror_act = key_for(draft, place, act, is_mirror=True)
    return write_mirror(posting, transfers, mirror_act, request, recorded_at=act.noted_at)


def write_anew(draft: Draft, place: int, lots: dict, act: Act, request: dict) -> Posting:
    """Write the replacement of a posting: at its place in the book and its time in the workshop."""
    wrong = draft.postings[place]
    lines = [line_of(flow, lots) for flow in draft.after[place]]
    posting = Posting(
        uuid=key_for(draft, place, act, is_mirror=False).key,
        kind=Posting.Kind.CORRECT,
        happened_at=wrong.happened_at,
        reference=reference_of(draft, place, lots),
        replaces=wrong.replaces or wrong,
    )
    return write_lines(posting, lines, act, request)


def write_lines(posting: Posting, lines: list[Line], act: Act, request: dict) -> Posting:
    """Write a posting of a correction with its transfers; the counters are moved apart."""
    posting.by, posting.reason, posting.recorded_at = act.by, act.reason, act.noted_at
    posting.request, posting.fingerprint = request, fingerprint(request)
    written(posting, lines)
    Transfer.objects.bulk_create([transfer_row(posting, line) for line in lines])
    return posting


def line_of(flow: Flow, lots: dict) -> Line:
    """Return a flow as a line with its lots."""
    scale = Scale.objects.get(pk=flow.scale) if flow.scale else None
    mass = Mass(flow.mass_mg, flow.basis, scale, flow.uncertainty_ug)
    return Line(lots.get(flow.source), lots.get(flow.target), mass, flow.role, bool(flow.melted))


def reference_of(draft: Draft, place: int, lots: dict) -> str:
    """Return the reference of a replacement: what was moved elsewhere names its ends anew."""
    wrong, flows = draft.postings[place], moving(draft.after[place])
    fixed = [fix for fix in draft.fixes if place_of(fix.posting) == place]
    if not fixed or not (fixed[0].source or fixed[0].target) or not flows:
        return wrong.reference
    if fixed[0].reference:
        return fixed[0].reference
    source, target = lots.get(flows[0].source), lots.get(flows[0].target)
    kind = first_kind(wrong)
    if kind == Posting.Kind.MOVE:
        return f"{source.bin or source} > {target.bin}"[:60]
    if kind in {Posting.Kind.DISPOSE, Posting.Kind.EMPTY, Posting.Kind.COUNT}:
        return str(source.bin or source)[:60]
    return wrong.reference


def write_closings(draft: Draft, lots: dict, act: Act, request: dict) -> None:
    """Book what closed charges miss now that had closed without a gap."""
    for key, flow in draft.new_closings.items():
        lot = lots[key]
        posting = Posting(
            uuid=act.followed_by(f"{lot.code} closed").key,
            kind=Posting.Kind.CLOSE,
            happened_at=lot.closed_at,
            reference=closing_reference(lot),
        )
        write_lines(posting, [line_of(flow, lots)], act, request)


def closing_reference(lot: Lot) -> str:
    """Return what the postings of a charge's run are called."""
    return lot.given.order_by("pk").first().posting.reference


def new_lots(draft: Draft, materials: dict, mirror: Posting) -> dict:
    """Return an unsaved lot for each that the draft needs, with its counters."""
    delta = draft.delta()
    news = [end for end in draft.ends(draft.after) if isinstance(end, NewLot)]
    return {end: new_lot(draft, end, materials, delta[end], mirror) for end in news}


def new_lot(draft: Draft, end: NewLot, materials: dict, moved: tuple[int, int], mirror) -> Lot:
    """Return an unsaved fill of a bin, or an unsaved gain of a charge, which a correction made."""
    if end.kind == FILL:
        material, more = materials[end], {"bin_id": end.owner}
    else:
        charge = draft.lots[end.owner]
        material = materials.get(charge.pk, charge.material)
        more = {"origin_class": OriginClass.UNKNOWN}
    in_mg, out_mg = moved
    return Lot(
        kind=end.kind,
        polymer=material.polymer,
        colour=material.colour,
        form=material.form,
        in_mg=in_mg,
        out_mg=out_mg,
        opened_at=draft.postings[end.place].happened_at,
        filled_by=mirror,
        **more,
    )
