"""A correction before it is accepted: the steps of the book that it reaches, as they are and as they would be.

A step is a standing posting; its place is that of the posting first written for it, so that
a replacement keeps its turn. Nothing is written here.
"""

from collections import Counter, defaultdict
from dataclasses import dataclass, field

from django.db.models import Q, Sum

from inventory.calculations.charge_rests import ChargeBook, Rest, is_gain
from inventory.calculations.corrections import (
    CARRIED,
    Book,
    Broken,
    Content,
    Flow,
    Holder,
    InBin,
    NewLot,
    Story,
    changed_places,
    check_lots,
    sums,
)
from inventory.calculations.movements import (
    Mending,
    mended,
    moving,
    part_anew,
)
from inventory.calculations.traces import find_cycle
from inventory.models import Bin, Lot, Mass, Posting, Transfer
from inventory.queries.closures import ancestor_edges_of_all
from inventory.queries.postings import PLACE, place_of, standing_transfers
from inventory.queries.traces import lots_by_key

FLOW = ("source", "target", "mass_mg", "role", "melted", "basis", "scale", "uncertainty_ug")
MOST_STEPS = 2_000  # that one correction may write anew
CLOSE = Posting.Kind.CLOSE


@dataclass(frozen=True)
class Fix:
    """What one past posting should have been; what is None stays, `is_out`: it never happened."""

    posting: Posting
    mass: Mass | None = None
    source: Bin | Lot | None = None
    target: Bin | Lot | None = None
    is_out: bool = False
    reference: str = ""  # of the replacement, where it belongs to another run
    share_mg: int | None = None  # of another part that its pieces are, what was worn away included

    def plain(self) -> dict:
        """Return what a fingerprint needs of it."""
        return {
            "posting": self.posting.uuid,
            "mass": self.mass.plain() if self.mass else None,
            "source": self.source.code if self.source else None,
            "target": self.target.code if self.target else None,
            "is_out": self.is_out,
        }

    @property
    def mending(self) -> Mending:
        """What it says of the posting's movement."""
        mass = self.mass or Mass(0)
        return Mending(
            mass_mg=self.mass.mg if self.mass else None,
            basis=str(mass.basis),
            scale=mass.scale.pk if mass.scale else None,
            uncertainty_ug=mass.uncertainty_ug,
            source=end_of(self.source),
            target=end_of(self.target),
            share_mg=self.share_mg,
        )


def end_of(place: Bin | Lot | None):
    """Return the end of a flow that a bin, or a lot, means; a fill means what its bin held then."""
    if isinstance(place, Bin):
        return InBin(place.pk)
    if place is None:
        return None
    return InBin(place.bin_id) if place.bin_id else place.pk


@dataclass(frozen=True)
class GapChange:
    """A charge whose closing changes; masses in mg, the rest as it would be."""

    lot: Lot
    before_mg: int
    after_mg: int
    rest: Rest
    role: str

    @property
    def is_loss(self) -> bool:
        """Whether the loss must be named."""
        return self.role == Transfer.Role.LOSS

    @property
    def allowed_mg(self) -> int:
        """What its weighings explain, in whole mg."""
        return round(self.rest.expanded_mg)


@dataclass
class Draft:
    """The steps before and after, with the postings and lots that they name."""

    fixes: list[Fix]
    before: Book = field(default_factory=dict)
    after: Book = field(default_factory=dict)
    postings: dict[int, Posting] = field(default_factory=dict)
    lots: dict[int, Lot] = field(default_factory=dict)
    gaps: list[GapChange] = field(default_factory=list)
    new_closings: dict[int, Flow] = field(default_factory=dict)

    @property
    def changed(self) -> list[int]:
        """Places of the steps to be written anew."""
        return changed_places(self.before, self.after)

    def ends(self, *books: Book) -> set:
        """Return every lot named by the changed steps of some books."""
        flows = [f for book in books for place in self.changed for f in book.get(place, ())]
        flows += self.new_closings.values()
        return {end for f in flows for end in f[:2] if end is not None}

    @property
    def touched(self) -> list[Lot]:
        """The lots there are whose steps change."""
        keys = self.ends(self.before, self.after)
        return [self.lots[key] for key in sorted(k for k in keys if not isinstance(k, NewLot))]

    def read(self, **where) -> None:
        """Fetch the steps of the standing postings that have a transfer so filtered."""
        self.read_steps(standing_transfers().filter(**where))

    def read_steps(self, rows) -> None:
        """Fetch the steps of some standing transfers, whole, unless they are here already."""
        known = [posting.pk for posting in self.postings.values()]
        wanted = rows.exclude(posting__in=known).order_by().values("posting")
        steps = defaultdict(list)
        found = standing_transfers().filter(posting__in=wanted).order_by("pk")
        for key, place, *flow in found.annotate(place=PLACE).values_list("posting", "place", *FLOW):
            steps[place, key].append(Flow(*flow))
        postings = Posting.objects.select_related("replaces").in_bulk([key for _, key in steps])
        for (place, key), flows in steps.items():
            self.before[place] = self.after[place] = tuple(flows)
            self.postings[place] = postings[key]
        ends = {end for flows in steps.values() for f in flows for end in f[:2] if end}
        self.lots |= lots_by_key(ends - self.lots.keys())

    def is_closing(self, place: int) -> bool:
        """Whether a step closed charges."""
        return first_kind(self.postings[place]) == CLOSE

    def delta(self) -> dict:
        """Return (in, out) of what each lot took and gave more than before, in mg."""
        old = sums({place: self.before.get(place, ()) for place in self.changed})
        new = {place: self.after.get(place, ()) for place in self.changed}
        new = sums(new | {0: tuple(self.new_closings.values())})
        nothing = [0, 0]
        return {
            lot: (
                new.get(lot, nothing)[0] - old.get(lot, nothing)[0],
                new.get(lot, nothing)[1] - old.get(lot, nothing)[1],
            )
            for lot in sorted(old.keys() | new.keys(), key=str)
        }


def first_kind(posting: Posting) -> str:
    """Return the kind of the posting first written at its place in the book."""
    return posting.replaces.kind if posting.replaces_id else posting.kind


def draft_of(fixes: list[Fix], draft: Draft | None = None) -> Draft:
    """Return the book as some fixes would make it; raises Broken where they do not hold.

    What was read until then stands in the draft that the caller gives.
    """
    draft = draft or Draft(fixes)
    for fix in fixes:
        mend(draft, fix)
    settle_parts(draft)
    settle_charges(draft)
    tell_bins(draft)
    check_order(draft)
    return draft


def mend(draft: Draft, fix: Fix) -> None:
    """Put one fix into the draft; `follows` where a posting has nothing that somebody meant."""
    place = place_of(fix.posting)
    draft.read(posting=fix.posting)
    if draft.postings.get(place) != fix.posting:
        raise Broken("gone", None, fix.posting.pk)
    if not moving(draft.before[place]) or draft.is_closing(place):
        raise Broken("follows", None, place)
    for end in (fix.source, fix.target):
        if isinstance(end, Lot) and end.pk not in draft.lots:
            draft.lots |= lots_by_key({end.pk})
    draft.after[place] = () if fix.is_out else mended(draft.before[place], fix.mending)


def settle_parts(draft: Draft) -> None:
    """Let what a part gave by the book and what it had lost follow, where it took or gave otherwise."""
    settled = set()
    while waiting := lots_changed(draft, draft.changed, Lot.Kind.PART) - settled:
        part = min(waiting)  # a bag before the pieces that it gave
        settled.add(part)
        draft.read_steps(standing_transfers().filter(Q(source=part) | Q(target=part)))
        draft.after |= part_anew(part, steps_of(part, draft.before), steps_of(part, draft.after))


def steps_of(lot: int, book: Book) -> Book:
    """Return the steps of a book that touch a lot."""
    return {place: flows for place, flows in book.items() if concerns(lot, flows)}


def settle_charges(draft: Draft) -> None:
    """Let what was left of each charge follow, one charge after the other."""
    waiting = sorted(lots_changed(draft, draft.changed, Lot.Kind.CHARGE), reverse=True)
    settled = set()
    while waiting:
        charge = waiting.pop()
        if charge not in settled:
            settled.add(charge)
            waiting += sorted(settle_charge(draft, draft.lots[charge]), reverse=True)


def lots_changed(draft: Draft, places, kind: str) -> set[int]:
    """Return the lots of a kind that took or gave otherwise at some places."""
    changed = set()
    for place in places:
        old, new = (sums({place: book[place]}) for book in (draft.before, draft.after))
        sides = [lot for lot in old.keys() | new.keys() if old.get(lot) != new.get(lot)]
        changed |= {lot for lot in sides if isinstance(lot, int) and draft.lots[lot].kind == kind}
    return changed


def settle_charge(draft: Draft, lot: Lot) -> set[int]:
    """Settle one charge; return the charges that it carried another mass into."""
    draft.read_steps(standing_transfers().filter(Q(source=lot) | Q(target=lot)))
    gains = {key for key, each in draft.lots.items() if each.kind == Lot.Kind.GAIN}
    closings = {place for place in draft.postings if draft.is_closing(place)}
    steps = steps_of(lot.pk, draft.after)
    changed = ChargeBook(lot.pk, steps, gains, closings).settle()
    following = {f.target for flows in changed.values() for f in flows if f.role == CARRIED}
    following |= {f.target for p in changed for f in steps[p] if f.role == CARRIED}
    draft.after |= changed
    close_anew(draft, lot, ChargeBook(lot.pk, steps | changed, gains, closings).rest(), closings)
    return following


def concerns(lot: int, flows: tuple[Flow, ...]) -> bool:
    """Whether some flows touch a lot."""
    return any(lot in f[:2] for f in flows)


def close_anew(draft: Draft, lot: Lot, rest: Rest, closings: set[int]) -> None:
    """Book what is left of a closed charge now, in its closing or in one of its own."""
    if lot.closed_at is None:
        return
    place = next((p for p in closings if concerns(lot.pk, draft.before[p])), 0)
    old = [f for f in draft.before.get(place, ()) if f.source == lot.pk]
    flows = [f for each in draft.after.values() for f in each if f.source == lot.pk]
    carried = any(f.role == CARRIED for f in flows)
    left_mg, was_mg = (0 if carried else max(0, rest.gap_mg)), (old[0].mass_mg if old else 0)
    if left_mg == was_mg:
        return
    role = Transfer.Role.DIFFERENCE if rest.is_within else Transfer.Role.LOSS
    if old and old[0].role == Transfer.Role.DISPOSED:
        role = Transfer.Role.DISPOSED
    draft.gaps.append(GapChange(lot, was_mg, left_mg, rest, str(role) if left_mg else ""))
    flow = Flow(lot.pk, None, left_mg, str(role), basis="book")
    if place:
        kept = [f for f in draft.after[place] if f not in old]
        draft.after[place] = tuple(kept + ([flow] if left_mg else []))
    elif left_mg:
        draft.new_closings[lot.pk] = flow


def tell_bins(draft: Draft) -> None:
    """Tell each bin again from the first step at which something in it changes."""
    firsts = {}
    for place in draft.changed:
        flows = {*draft.before[place], *draft.after[place]}
        for bin in {bin_at(draft, end) for f in flows for end in f[:2]} - {None}:
            firsts.setdefault(bin, place)
    for bin, first in sorted(firsts.items()):
        tell_bin(draft, bin, first)


def bin_at(draft: Draft, end) -> int | None:
    """Return the bin that an end of a flow lies in."""
    if end is None or is_gain(end):
        return None
    if isinstance(end, NewLot):
        return end.owner
    return end.bin if isinstance(end, InBin) else draft.lots[end].bin_id


def tell_bin(draft: Draft, bin: int, first: int) -> None:
    """Tell one bin again from a place on."""
    here = Q(source__bin=bin) | Q(target__bin=bin)
    draft.read_steps(standing_transfers().annotate(place=PLACE).filter(here, place__gte=first))
    content, used = content_before(bin, first)
    if content and content.lot not in draft.lots:
        draft.lots |= lots_by_key({content.lot})
    holders = {key: holder(lot) for key, lot in draft.lots.items()}
    story = Story(bin, holders, content, used)
    led = {place_of(fix.posting): fix for fix in draft.fixes if fix.target or fix.source}
    for place in sorted(place for place in draft.after if place >= first):
        incoming = led_material(draft, place, bin) if place in led else None
        if any(bin_at(draft, end) == bin for f in draft.after[place] for end in f[:2]):
            draft.after[place] = story.tell(place, draft.after[place], incoming)


def holder(lot: Lot) -> Holder:
    """Return what a story asks of a lot."""
    return Holder(lot.kind, lot.bin_id, (lot.polymer_id, lot.colour_id, lot.form))


def led_material(draft: Draft, place: int, bin: int):
    """Return the material of what a correction leads into a bin, in the form it was booked in."""
    flows = [f for f in moving(draft.after[place]) if bin_at(draft, f.target) == bin]
    if not flows or not isinstance(flows[0].source, int):
        return None
    source = draft.lots[flows[0].source]
    booked = [f.target for f in moving(draft.before[place]) if isinstance(f.target, int)]
    form = draft.lots[booked[0]].form if booked else source.form
    return (source.polymer_id, source.colour_id, form)


def content_before(bin: int, first: int) -> tuple[Content | None, set[int]]:
    """Return what stood in a bin before a place in the book, and every lot that had stood there."""
    rows = standing_transfers().annotate(place=PLACE).filter(place__lt=first).order_by()
    taken = dict(rows.filter(target__bin=bin).values_list("target").annotate(mg=Sum("mass_mg")))
    given = dict(rows.filter(source__bin=bin).values_list("source").annotate(mg=Sum("mass_mg")))
    left = [lot for lot, mg in taken.items() if mg > given.get(lot, 0)]
    if not left:
        return None, set(taken)
    lot = left[0]
    content = Content(lot, taken[lot], given.get(lot, 0))
    flows = rows.filter(Q(source=lot) | Q(target=lot)).order_by("place", "pk").values_list(*FLOW)
    for flow in flows:
        content.follow(Flow(*flow))
    return content, set(taken)


def check_order(draft: Draft) -> None:
    """Raise Broken when the changed lots would go round, give before they took or give too much."""
    keys = {end for end in draft.ends(draft.before, draft.after) if isinstance(end, int)}
    check_rings(draft, keys)
    draft.read_steps(standing_transfers().filter(Q(source__in=keys) | Q(target__in=keys)))
    news = {end for end in draft.ends(draft.after) if isinstance(end, NewLot)}
    check_lots(keys | news, draft.after)
    if len(draft.changed) > MOST_STEPS:
        raise Broken("too-far", None, draft.changed[0], len(draft.changed))


def check_rings(draft: Draft, keys: set[int]) -> None:
    """Raise Broken `ring` when a lot would go into itself."""
    if ring := find_cycle(edges_after(draft, keys)):
        raise Broken("ring", next(lot for lot in ring if lot > 0))


def edges_after(draft: Draft, keys) -> list[tuple]:
    """Return the edges behind some lots as the draft would make them."""
    keys = {*keys, *(end for end in draft.ends(draft.after) if isinstance(end, int))}
    new = [f for place in draft.changed for f in draft.after[place] if f.target is not None]
    gone = Counter(edge_of(f) for place in draft.changed for f in draft.before[place])
    edges = []
    for source, target, mass_mg, melted, role in ancestor_edges_of_all(sorted(keys)):
        edge = (source, target, mass_mg, bool(melted))
        if gone[edge]:
            gone[edge] -= 1
        else:
            edges.append((*edge, role))
    numbers = new_numbers(draft)
    return edges + [(*[numbers.get(e, e) for e in f[:2]], f.mass_mg, f.melted, "") for f in new]


def edge_of(flow: Flow) -> tuple:
    """Return a flow as a walk back tells it."""
    return (*flow[:3], bool(flow.melted))


def new_numbers(draft: Draft) -> dict:
    """Return a number below zero for each lot that the draft would make."""
    news = sorted(end for end in draft.ends(draft.after) if isinstance(end, NewLot))
    return {end: -place for place, end in enumerate(news, 1)}
