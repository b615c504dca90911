"""What a correction changes: held masses, materials, what lies ahead; and what a correction was."""

from dataclasses import dataclass, replace
from math import ceil

from django.db.models import QuerySet
from django.utils.translation import gettext as _

from inventory.calculations.coarseness import coarsest
from inventory.calculations.corrections import GAIN, Broken, Flow, NewLot
from inventory.calculations.fingerprints import fingerprint
from inventory.calculations.movements import (
    DISPOSED,
    INTO_BINS,
    LOADED,
    MOVED,
    OUT_OF_CHARGES,
    moved_mg,
    moving,
)
from inventory.models import Bin, Hold, Lot, Material, Posting, Transfer
from inventory.queries.blends import CannotMix, combined_material
from inventory.queries.closures import lots_ahead_of
from inventory.queries.drafts import FLOW, Draft, first_kind
from inventory.queries.lots import lot_label
from inventory.queries.postings import standing_transfers
from inventory.queries.traces import lots_by_key

MOST_WRITTEN = 5_000  # rows of the book within which the postings of one act lie
CLOSE = Posting.Kind.CLOSE


@dataclass(frozen=True)
class Movement:
    """What a posting moved, as a form shows it; lots are those of the book, masses in mg.

    `scale_id` is the scale that it was read from, with the standard uncertainty of the whole in ug.
    """

    posting: Posting
    mass_mg: int
    pieces: int
    role: str
    source: Lot | None
    target: Lot | None
    scale_id: int | None = None
    uncertainty_ug: int = 0

    @property
    def role_label(self):
        """What the mass was, in words."""
        return Transfer.Role(self.role).label

    @property
    def may_change_source(self) -> bool:
        """Whether it may have come from elsewhere: from a bin, the floor or another charge."""
        return self.role in {MOVED, LOADED, DISPOSED, *OUT_OF_CHARGES} or (
            self.role == Transfer.Role.COUNT and self.source is not None
        )

    @property
    def may_change_target(self) -> bool:
        """Whether it may have gone elsewhere: into another bin or charge."""
        return self.role == LOADED or self.role in INTO_BINS and self.target is not None

    @property
    def is_out_of_charge(self) -> bool:
        """Whether it came out of a machine."""
        return self.source is not None and self.source.kind == Lot.Kind.CHARGE


def movement_of(posting: Posting) -> Movement | None:
    """Return what a standing posting moved, or None where it only follows from others or stands no more."""
    rows = standing_transfers().filter(posting=posting).order_by("pk")
    flows = tuple(Flow(*row) for row in rows.values_list(*FLOW))
    meant = moving(flows)
    if not meant or first_kind(posting) == CLOSE:
        return None
    first, last = meant[0], meant[-1]
    lots = lots_by_key({end for end in (first.source, last.target) if end})
    return Movement(
        posting=posting,
        mass_mg=moved_mg(flows),
        pieces=len(meant) if first.role == Transfer.Role.PART else 0,
        role=first.role,
        source=lots.get(first.source),
        target=lots.get(last.target) if len({f.target for f in meant}) == 1 else None,
        scale_id=first.scale,
        uncertainty_ug=ceil(sum(f.uncertainty_ug**2 for f in meant) ** 0.5),
    )


@dataclass(frozen=True)
class HeldChange:
    """A lot that would hold another mass now; masses in mg."""

    label: str
    lot: Lot | None
    before_mg: int
    after_mg: int


def held_changes(draft: Draft) -> list[HeldChange]:
    """Return the lots that would hold another mass now, those of the record first."""
    rows = []
    for key, (in_mg, out_mg) in draft.delta().items():
        if in_mg == out_mg:
            continue
        lot = None if isinstance(key, NewLot) else draft.lots[key]
        held_mg = lot.held_mg if lot else 0
        rows.append(HeldChange(name_of(draft, key), lot, held_mg, held_mg + in_mg - out_mg))
    return sorted(rows, key=lambda row: row.lot is None)


def name_of(draft: Draft, end) -> str:
    """Return what people call an end of a flow in a draft."""
    if end is None:
        return ""
    if isinstance(end, int):
        return charge_name(draft.lots[end]) or lot_label(draft.lots[end])
    if isinstance(end, NewLot) and end.kind == GAIN:
        return _("weighing gain")
    return Bin.objects.get(pk=end[-1]).name


def charge_name(lot: Lot) -> str:
    """Return what people call a charge: that of its run; empty for any other lot."""
    if lot.kind != Lot.Kind.CHARGE:
        return ""
    first = Transfer.objects.filter(target=lot).select_related("posting").earliest("pk")
    return _("the charge of %(run)s") % {"run": first.posting.reference}


def materials_after(draft: Draft) -> dict:
    """Return the material of each lot that the draft would make another, new lots included.

    Only lots filled from another material than before are asked; what somebody identified
    stays. Raises Broken `polymer-mismatch` where polymers would meet that do not mix, and
    `unknown-material` where one of several is unknown.
    """
    found, turns = {}, {key: turn(draft, key) for key in targets_changed(draft)}
    while turns:
        key = min(turns, key=lambda each: (turns[each], str(each)))
        place = turns.pop(key)
        material = material_after(draft, key, place, found)
        if material is not None and material != found.get(key, material_now(draft, key)):
            found[key] = material
            found |= gains_beside(draft, key, material)
            turns |= {target: turn(draft, target) for target in targets_of(draft, key)}
    return found


def material_now(draft: Draft, key) -> Material | None:
    """Return the material of a lot that there is."""
    return draft.lots[key].material if key in draft.lots else None


def gains_beside(draft: Draft, key, material: Material) -> dict:
    """Return the material of what only a scale found of a charge: that of the charge."""
    if key not in draft.lots or draft.lots[key].kind != Lot.Kind.CHARGE:
        return {}
    steps = [flows for flows in draft.after.values() if any(f.source == key for f in flows)]
    return {f.source: material for flows in steps for f in flows if is_gain(draft, f.source)}


def is_gain(draft: Draft, end) -> bool:
    """Whether an end is what only a scale found."""
    if isinstance(end, NewLot):
        return end.kind == GAIN
    return end is not None and draft.lots[end].kind == Lot.Kind.GAIN


def turn(draft: Draft, key) -> int:
    """Return the last place at which a lot takes; whatever it consists of has taken before."""
    if not isinstance(key, NewLot):
        draft.read(target=key)
    takings = (p for p, flows in draft.after.items() if any(f.target == key for f in flows))
    return max(takings, default=0)


def targets_changed(draft: Draft) -> set:
    """Return each lot that takes, or took, in a changed step."""
    flows = [f for p in draft.changed for f in draft.before[p] + draft.after[p]]
    return {f.target for f in flows if f.target is not None}


def targets_of(draft: Draft, key) -> set:
    """Return each lot that takes from a lot."""
    if not isinstance(key, NewLot):
        draft.read(source=key)
    flows = [f for each in draft.after.values() for f in each if f.source == key]
    return {f.target for f in flows if f.target is not None}


def material_after(draft: Draft, key, place: int, found: dict) -> Material | None:
    """Return what a lot is made of by what goes into it after the draft, None to leave it as it is."""
    lot = draft.lots.get(key)
    new = [found.get(each) or draft.lots[each].material for each in givers(draft, key, "after")]
    old = [draft.lots[each].material for each in givers(draft, key, "before")]
    if not new or (lot is not None and worth(old) == worth(new)):
        return None
    try:
        now = mixture(new)
        if lot is None:
            return replace(now, form=coarsest(forms_into(draft, key)))
        return called(lot, now, mixture(old) if old else None)
    except CannotMix:
        raise Broken("polymer-mismatch", key, place) from None
    except LookupError:
        raise Broken("unknown-material", key, place) from None


def givers(draft: Draft, key, book_name: str) -> list:
    """Return the lots that a lot takes from before or after, each once; gains only where nothing else is."""
    book = getattr(draft, book_name)
    flows = [f for place in sorted(book) for f in book[place] if f.target == key]
    found = list(dict.fromkeys(f.source for f in flows if f.source is not None))
    return [end for end in found if not is_gain(draft, end)] or [
        end for end in found if end in draft.lots
    ]


def forms_into(draft: Draft, new: NewLot) -> list[str]:
    """Return the forms of what goes into a new fill: as it was booked, and of what was left as it was."""
    forms = []
    for place, flows in draft.after.items():
        for f in (f for f in flows if f.target == new and f.source in draft.lots):
            booked = [each.target for each in moving(draft.before[place])]
            is_as_booked = f.role in OUT_OF_CHARGES and booked and booked[0] in draft.lots
            forms.append(draft.lots[booked[0] if is_as_booked else f.source].form)
    return forms or [draft.lots[end].form for end in draft.lots][:1]


def worth(materials: list[Material]) -> set:
    """Return what counts of some materials, whatever their form."""
    return {(each.polymer, each.colour) for each in materials}


def mixture(materials: list[Material]) -> Material:
    """Return what materials make together; unknown ones make none with others (LookupError)."""
    polymers = {each.polymer for each in materials}
    if None in polymers and len(polymers) > 1:
        raise LookupError
    return combined_material(materials)


def called(lot: Lot, now: Material, before: Material | None) -> Material:
    """Return the material of a lot: it keeps its form, and a polymer that somebody identified."""
    was_identified = before is not None and lot.polymer != before.polymer
    polymer = lot.polymer if was_identified else now.polymer
    form = now.form if lot.kind == Lot.Kind.CHARGE else lot.form
    return Material(polymer, now.colour, form)


def lots_reached(draft: Draft) -> set[int]:
    """Return the primary keys of the lots behind which the draft changes something."""
    flows = [
        f for book in (draft.before, draft.after) for p in draft.changed for f in book.get(p, ())
    ]
    return lots_ahead_of({f.target for f in flows if isinstance(f.target, int)})


def effect_token(draft: Draft, reached: set[int]) -> str:
    """Return what stands for all that a draft would write and reach, to tell whether it is still the same."""
    return fingerprint(
        {
            "undone": [draft.postings[place].uuid for place in draft.changed],
            "written": [[list(map(str, f)) for f in draft.after[p]] for p in draft.changed],
            "closings": [list(map(str, f)) for f in draft.new_closings.values()],
            "held": [[each.label, each.before_mg, each.after_mg] for each in held_changes(draft)],
            "reached": sorted(reached),
        }
    )


def held_in(draft: Draft) -> QuerySet[Hold]:
    """Return the holds on lots whose steps the draft changes."""
    holds = Hold.objects.open().filter(lot__in=[lot.pk for lot in draft.touched])
    return holds.select_related("lot__bin", "lot__delivery").order_by("lot")


def postings_of_correction(posting: Posting) -> list[Posting]:
    """Return all that one correction wrote, in the order of the book; its rows lie close together."""
    near = (posting.pk - MOST_WRITTEN, posting.pk + MOST_WRITTEN)
    rows = Posting.objects.filter(pk__range=near, fingerprint=posting.fingerprint)
    return list(rows.select_related("reverses", "replaces", "by").order_by("pk"))


def replacement_of(posting: Posting) -> Posting | None:
    """Return what stands in the place of a posting that was corrected, or None."""
    first = posting.replaces_id or posting.pk
    return Posting.objects.standing().filter(replaces=first).exclude(pk=posting.pk).first()


def versions_of(posting: Posting) -> list[Posting]:
    """Return a posting as first written and everything that replaced it, in the order of the book."""
    first = posting.replaces_id or posting.pk
    rows = Posting.objects.filter(pk=first) | Posting.objects.filter(replaces=first)
    found = list(rows.select_related("by", "reversed_by").order_by("pk"))
    return found if len(found) > 1 else []


@dataclass(frozen=True)
class LineChange:
    """One thing that a posting would say otherwise: ends by name, masses in mg, None where there is none."""

    role: str
    before_mg: int | None
    after_mg: int | None
    before_ends: str
    after_ends: str

    @property
    def role_label(self):
        """What the mass is, in words."""
        return Transfer.Role(self.role).label

    @property
    def ends_change(self) -> bool:
        """Whether it would go from or to elsewhere."""
        return bool(self.before_mg and self.after_mg) and self.before_ends != self.after_ends


@dataclass(frozen=True)
class StepChange:
    """A posting that would be undone and, unless it never happened, written anew."""

    posting: Posting
    lines: list[LineChange]


def step_changes(draft: Draft) -> list[StepChange]:
    """Return what each posting would say otherwise, in the order of the book.

    A posting has no line where it only takes from another lot of the same bin.
    """
    return [
        StepChange(
            draft.postings[place], line_changes(draft, draft.before[place], draft.after[place])
        )
        for place in draft.changed
    ]


def line_changes(draft: Draft, before: tuple, after: tuple) -> list[LineChange]:
    """Return what differs between two versions of a posting, summed by role."""
    old, new = sums_by_role(draft, before), sums_by_role(draft, after)
    nothing = (None, "")
    roles = [role for role in dict.fromkeys([*old, *new]) if old.get(role) != new.get(role)]
    rows = [(role, *old.get(role, nothing), *new.get(role, nothing)) for role in roles]
    return [LineChange(role, was, now, ends, led) for role, was, ends, now, led in rows]


def sums_by_role(draft: Draft, flows: tuple) -> dict[str, tuple[int, str]]:
    """Return the mass and the ends of a posting's flows by role; what comes in and goes on counts once."""
    found, given = {}, {(flow.source, flow.role) for flow in flows}
    for flow in flows:
        if flow.source is None and (flow.target, flow.role) in given:
            continue  # such as a surplus, which comes from outside into a gain and out of that
        mass_mg, _ends = found.get(flow.role, (0, ""))
        ends = [name_of(draft, end) or str(_("outside")) for end in flow[:2]]
        found[flow.role] = (mass_mg + flow.mass_mg, " > ".join(ends))
    return found
