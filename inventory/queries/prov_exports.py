"""What a document of the W3C's PROV tells of the book, in passes over the same postings.

The postings are found once and kept by their keys, eight bytes each; each pass reads some
hundred at a time. Nothing of a posting ever changes and what was reversed by then is left out,
so all passes tell of the same book, whatever is entered meanwhile.
"""

from array import array
from bisect import bisect_left
from collections.abc import Iterable, Iterator, Sequence
from functools import cache
from typing import NamedTuple

from django.contrib.auth import get_user_model
from django.db.models import F, Max
from django.utils import timezone

from inventory.calculations.prov_documents import (
    DISPOSED,
    Doing,
    Material,
    Move,
    Thing,
    prov_json,
    prov_notation,
)
from inventory.calculations.seen_keys import SeenKeys
from inventory.models import Lot, Posting, Transfer
from inventory.queries.access import own_role
from inventory.queries.exports import KEY, RUN, STEPS, Scope, in_time, slices, walked
from inventory.queries.postings import standing_transfers

AT_ONCE = 500
LINE = (
    *("posting", "source", "target"),
    *("posting__reference", "posting__uuid", "posting__happened_at"),
    *("source__code", "source__kind", "target__code", "target__kind"),
    *("mass_mg", "role", "melted"),
)


class Line(NamedTuple):
    """A transfer by the keys of its posting, giver and taker, and as it is told."""

    posting: int
    source: int | None
    target: int | None
    move: Move


def prov_json_chunks(scope: Scope, base: str) -> Iterator[str]:
    """Yield the document of a scope as PROV-JSON, some records at a time."""
    return prov_json(Told(scope), base)


def prov_notation_chunks(scope: Scope, base: str) -> Iterator[str]:
    """Yield the document of a scope as PROV-N, some records at a time."""
    return prov_notation(Told(scope), base)


class Told:
    """The postings of a scope that stand, each with its transfers that are of the scope."""

    def __init__(self, scope: Scope):
        self.scope, found = scope, walked(scope, is_standing=True)
        self.postings = array(KEY, standing_of(found.postings))
        self.lots = None if found.lots is None else found.lots.keys()
        self.own = {lot.pk for lot in scope.about}
        self.by_run = array(KEY, self.in_order_of_runs())

    def in_order_of_runs(self) -> Iterable[int]:
        """Return the postings so that those of a run stand together, the others first."""
        if self.lots is None:  # there may be very many, so the database sorts them
            return (pk for pk in in_time(self.scope, ("reference", "pk")) if pk in self)
        named = [
            row
            for some in slices(self.postings, AT_ONCE)
            for row in Posting.objects.filter(pk__in=some).values_list("reference", "pk")
        ]
        return (pk for _reference, pk in sorted(named))

    def __contains__(self, posting: int) -> bool:
        """Return whether a posting is told."""
        place = bisect_left(self.postings, posting)
        return place < len(self.postings) and self.postings[place] == posting

    def materials(self) -> Iterator[Material]:
        """Yield each lot once, in the order in which they are met."""
        seen = SeenKeys()
        for some in slices(self.postings, AT_ONCE):
            ends = (end for line in self.lines(some) for end in (line.source, line.target))
            keys = [key for key in ends if key and seen.is_new(key)]
            lots = Lot.objects.filter(pk__in=keys).select_related("polymer", "colour")
            yield from map(material, lots.order_by("pk"))

    def doings(self) -> Iterator[Doing]:
        """Yield the postings with the roles of who did them, those of a run together."""
        role_of = cache(role_by_key)
        for some in slices(self.by_run, AT_ONCE):
            found = Posting.objects.filter(pk__in=some).order_by("reference", "pk")
            for *facts, by in found.values_list("reference", "uuid", "happened_at", "by"):
                yield doing(*facts, role_of(by))

    def fillings(self) -> Iterator[Move]:
        """Yield for each lot the transfer that filled it last, the newest first."""
        seen = SeenKeys()
        for some in slices(self.postings[::-1], AT_ONCE):
            for line in reversed(self.lines(some)):
                if line.target and seen.is_new(line.target):
                    yield line.move

    def moves(self) -> Iterator[Move]:
        """Yield the transfers out of lots, in the order of the book."""
        for some in slices(self.postings, AT_ONCE):
            yield from (line.move for line in self.lines(some) if line.source)

    def endings(self) -> Iterator[Move]:
        """Yield for each lot the transfer that threw the last of it away, the newest first."""
        seen = SeenKeys()
        for some in slices(self.postings[::-1], AT_ONCE):
            last = [
                line
                for line in reversed(self.lines(some))
                if line.source and seen.is_new(line.source)
            ]
            thrown = [line for line in last if line.target is None and line.move.role == DISPOSED]
            emptied = emptied_by({line.source for line in thrown})
            yield from (line.move for line in thrown if emptied.get(line.source) == line.posting)

    def lines(self, postings: Sequence[int]) -> list[Line]:
        """Return the transfers of some postings that are of the scope, in the order of the book."""
        rows = Transfer.objects.filter(posting__in=postings).order_by("posting", "pk")
        return [
            Line(posting, source, target, moved(reference, *rest))
            for posting, source, target, reference, *rest in rows.values_list(*LINE)
            if self.is_told(source, target, reference)
        ]

    def is_told(self, source: int | None, target: int | None, reference: str) -> bool:
        """Return whether a transfer is of the scope: of a time and of a run all are, else those on the way."""
        if self.lots is None or (self.scope.reference and reference == self.scope.reference):
            return True
        end = target if STEPS[self.scope.direction][0] == "target" else source
        return end in self.lots or (source is None and target in self.own)


def emptied_by(lots: Iterable[int]) -> dict[int, int]:
    """Return of those lots that hold nothing the posting that took the last of them, by their keys."""
    rows = standing_transfers().filter(source__in=lots, source__in_mg=F("source__out_mg"))
    return dict(rows.order_by().values_list("source").annotate(posting=Max("posting")))


def standing_of(keys: Iterable[int]) -> Iterator[int]:
    """Yield the postings of some that are not reversed, in their order."""
    for some in slices(keys, AT_ONCE):
        rows = Posting.objects.filter(pk__in=some, reversed_by=None)
        yield from rows.order_by("pk").values_list("pk", flat=True)


def thing(code: str | None, kind: str) -> Thing | None:
    """Return a lot by name, None for the outside."""
    return Thing(code, kind == Lot.Kind.PART) if code else None


def material(lot: Lot) -> Material:
    """Return a lot as it is told."""
    return Material(
        thing(lot.code, lot.kind),
        lot.polymer.symbol if lot.polymer else "",
        lot.mark,
        lot.colour.name,
        lot.form,
        lot.origin_class,
    )


def doing(reference: str, uuid, happened_at, role: str = "") -> Doing:
    """Return a posting as it is told."""
    run = reference.removeprefix(RUN) if reference.startswith(RUN) else ""
    return Doing(run, uuid, timezone.localtime(happened_at), role)


def moved(reference: str, uuid, happened_at, *rest) -> Move:
    """Return a transfer as it is told, from the fields of a line after its keys."""
    source, source_kind, target, target_kind, mass_mg, role, melted = rest
    ends = thing(source, source_kind), thing(target, target_kind)
    return Move(doing(reference, uuid, happened_at), *ends, mass_mg, role, melted)


def role_by_key(pk: int) -> str:
    """Return the role of a person by key."""
    return own_role(get_user_model().objects.get(pk=pk))
