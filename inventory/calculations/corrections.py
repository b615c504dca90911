"""What a past transfer mended today does to the rest of the book, on plain values.

The book is told again from the mended step on: each step is a posting at its place in the
book, made of flows between lots. Masses that somebody weighed or typed stay what they are.
Only what was never weighed follows: what was left in a bin when it was topped up, what a
charge carried into the next one, what closed a charge, and the pieces that a bag gave.
Whatever a story cannot bear is raised as `Broken`, which names the lot, the step and the missing mass.
"""

from collections import Counter, defaultdict
from collections.abc import Hashable, Iterable, Mapping
from dataclasses import dataclass
from math import ceil
from typing import NamedTuple

REMAINDER, CARRIED, LOSS, DIFFERENCE = "remainder", "carried", "loss", "difference"
PIECES = "pieces"
FOLLOWING = frozenset({REMAINDER, CARRIED, LOSS, DIFFERENCE, PIECES})
COUNT, BOOK, TYPED = "count", "book", "typed"
DELIVERY, FILL, GAIN = "delivery", "fill", "gain"


class Flow(NamedTuple):
    """One transfer; an end is a lot's key, `InBin`, a `NewLot`, or None for the outside."""

    source: Hashable | None
    target: Hashable | None
    mass_mg: int
    role: str
    melted: bool = False
    basis: str = TYPED
    scale: int | None = None
    uncertainty_ug: int = 0


class InBin(NamedTuple):
    """An end that means whatever a bin held at that place in the book."""

    bin: int


class NewLot(NamedTuple):
    """A lot that the retold story needs: a fill of a bin, or a gain of a charge."""

    kind: str
    place: int
    owner: int


class Holder(NamedTuple):
    """What the story asks of a lot."""

    kind: str
    bin: int | None
    material: Hashable


Book = dict[int, tuple[Flow, ...]]  # the flows of each step by its place


class Broken(ValueError):  # noqa: N818 (named for what was found)
    """The retold story does not hold; `code` says why, `place` at which step, 0 where at none."""

    def __init__(self, code: str, lot: Hashable, place: int = 0, mass_mg: int = 0):
        self.code, self.lot, self.place, self.mass_mg = code, lot, place, mass_mg
        super().__init__(f"{code}: {lot} at step {place}, {mass_mg} mg")


@dataclass
class Content:
    """What stands in a bin at one step: its lot, what it took and gave, how well known, and when it last gave."""

    lot: Hashable
    taken_mg: int = 0
    given_mg: int = 0
    variance: int = 0
    gave_at: int = 0  # 0: at no step that is told

    @property
    def held_mg(self) -> int:
        """Milligrams in it."""
        return self.taken_mg - self.given_mg

    def follow(self, flow: Flow) -> None:
        """Add the uncertainty of a flow; a count on a scale starts anew."""
        squared = flow.uncertainty_ug**2
        is_count = flow.role == COUNT and flow.scale is not None
        self.variance = squared if is_count else self.variance + squared


class Story:
    """One bin told again, step by step: which lot gives, which takes, and what was left over.

    Lots stay those of the record wherever they can. A lot that has given takes nothing more,
    so what comes later than it did in the record makes a `NewLot` with what was left.
    """

    def __init__(self, bin: int, holders: Mapping, content: Content | None, used: set):
        self.bin, self.holders, self.content, self.used = bin, dict(holders), content, set(used)

    def is_here(self, end) -> bool:
        """Whether an end of a flow lies in this bin."""
        if isinstance(end, InBin):
            return end.bin == self.bin
        if isinstance(end, NewLot):
            return end.kind == FILL and end.owner == self.bin
        return end is not None and self.holders[end].bin == self.bin

    def tell(self, place: int, flows: tuple[Flow, ...], incoming: Hashable = None):
        """Return the flows of one step as they would have been.

        `incoming` is the material of what comes in where it was led here by the correction.
        Raises Broken: `short` when the bin gives more than it holds, `crowded` when a delivery
        would come into a bin that still holds something; the place is then that of what emptied it.
        """
        left_over = [f for f in flows if f.role == REMAINDER and self.is_here(f.source)]
        others = [f for f in flows if f not in left_over]
        told = [self.give(place, f) if self.is_here(f.source) else f for f in others]
        entering = [f for f in told if self.is_here(f.target)]
        if not entering:
            return tuple(told)
        target, rest = self.take(place, entering, incoming)
        told = [f._replace(target=target) if f in entering else f for f in told]
        return tuple([as_recorded(f, left_over) for f in rest] + told)

    def give(self, place: int, flow: Flow) -> Flow:
        """Return a flow out of the bin with the lot that gave it."""
        content = self.content
        held_mg = content.held_mg if content else 0
        if held_mg < flow.mass_mg:
            raise Broken("short", InBin(self.bin), place, flow.mass_mg - held_mg)
        content.given_mg += flow.mass_mg
        content.gave_at = place
        content.follow(flow)
        return flow._replace(source=content.lot)

    def take(self, place: int, entering: list[Flow], incoming) -> tuple[Hashable, list[Flow]]:
        """Return the lot that takes what comes in, and the flow of what was left, if any."""
        wanted = entering[0].target
        known = wanted if not isinstance(wanted, InBin) else None
        incoming = incoming or (self.holders[known].material if known in self.holders else None)
        target = self.taker(place, known, incoming)
        rest = []
        if self.content is None or target != self.content.lot:
            rest = self.carry(target)
            self.call(target, rest, incoming)
            self.content = Content(target)
            self.used.add(target)
        for flow in rest + entering:
            self.content.taken_mg += flow.mass_mg
            self.content.follow(flow)
        return target, rest

    def call(self, target, rest: list[Flow], incoming) -> None:
        """Remember what a new lot is, where what was left and what comes in are the same."""
        if isinstance(target, NewLot):
            left = {self.holders[flow.source].material for flow in rest}
            material = incoming if left <= {incoming} else None
            self.holders[target] = Holder(FILL, self.bin, material)

    def taker(self, place: int, known, incoming) -> Hashable:
        """Return the lot that takes: the one of the record, what is there, or a new one."""
        is_free = known is not None and known not in self.used
        content, new = self.content, NewLot(FILL, place, self.bin)
        if content is None or not content.held_mg:
            return known if is_free else new
        if is_free and self.holders[known].kind == DELIVERY:
            raise Broken("crowded", known, content.gave_at or place, content.held_mg)
        if is_free:
            return known
        return content.lot if self.can_top_up(known, incoming) else new

    def can_top_up(self, known, incoming) -> bool:
        """Whether what stands here takes more of the same: a fill that has given nothing yet."""
        content = self.content
        holder = self.holders[content.lot]
        if content.given_mg or holder.kind != FILL:
            return False
        return known == content.lot or holder.material == incoming is not None

    def carry(self, target) -> list[Flow]:
        """Return the flow of what was left into the lot that takes over."""
        content = self.content
        if content is None or not content.held_mg:
            return []
        uncertainty_ug = ceil(content.variance**0.5)
        held_mg = content.held_mg
        return [
            Flow(content.lot, target, held_mg, REMAINDER, False, BOOK, None, uncertainty_ug)  # noqa: FBT003 (a field of a flow)
        ]


def as_recorded(flow: Flow, recorded: list[Flow]) -> Flow:
    """Return the flow of the record where it says the same, so that nothing is written anew."""
    return next((f for f in recorded if f[:3] == flow[:3]), flow)


def changed_places(before: Book, after: Book) -> list[int]:
    """Return the places of the steps that are not what they were, in order."""
    pairs = {p: (before.get(p, ()), after.get(p, ())) for p in before.keys() | after.keys()}
    told_anew = (place for place, (old, new) in pairs.items() if old is not new)
    return sorted(
        place for place in told_anew if Counter(pairs[place][0]) != Counter(pairs[place][1])
    )


def check_lots(lots: Iterable[Hashable], book: Book) -> None:
    """Raise Broken for the first lot that gave before it took, or more than it took.

    `book` holds every standing step of those lots. `sealed` names the step at which a lot
    took after it had given, `short` the one at which it ran out and by how much.
    """
    takings, givings = defaultdict(list), defaultdict(list)
    for place in sorted(book):
        for flow in book[place]:
            takings[flow.target].append((place, flow.mass_mg))
            givings[flow.source].append((place, flow.mass_mg))
    for lot in sorted(lots, key=str):
        check_lot(lot, takings[lot], givings[lot])


def check_lot(lot, takings: list[tuple[int, int]], givings: list[tuple[int, int]]) -> None:
    """Raise Broken when a lot's steps, in order, do not hold; see `check_lots`."""
    if not givings:
        return
    left_mg = sum(mass_mg for _place, mass_mg in takings)
    for place, mass_mg in givings:
        left_mg -= mass_mg
        if left_mg < 0:
            raise Broken("short", lot, place, -left_mg)
    if takings[-1][0] > givings[0][0]:
        raise Broken("sealed", lot, takings[-1][0])


def sums(book: Book) -> dict[Hashable, list[int]]:
    """Return what each lot took and gave in some steps, in mg.

    >>> sums({1: (Flow(None, 7, 5, "received"),), 2: (Flow(7, 8, 3, "moved"),)})
    {7: [5, 3], 8: [3, 0]}
    """
    found = {}
    for place in sorted(book):
        for flow in book[place]:
            for side, end in ((1, flow.source), (0, flow.target)):
                if end is not None:
                    found.setdefault(end, [0, 0])[side] += flow.mass_mg
    return found
