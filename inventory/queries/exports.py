"""What a document in an open format tells of the book: of a trace, or of what happened in a time.

Postings are read some hundred at a time and told in the order of the book, so a document may
be of any length. It tells of the book as it stood when it was begun.
"""

import json
from array import array
from collections.abc import Callable, Collection, Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import datetime

from django.conf import settings
from django.db import connection
from django.db.models import Max, Prefetch, Q, QuerySet
from django.utils import timezone

from inventory.calculations.epcis_events import (
    GIVEN,
    MADE,
    SEEN,
    Flow,
    Joined,
    Stuff,
    Told,
    events_of,
    head_of,
    ids_in,
    joining_of,
)
from inventory.calculations.epcis_terms import lot_id, thing_id
from inventory.models import Lineage, Lot, Posting, Source, Transfer
from inventory.queries.access import own_role
from inventory.queries.closures import FORTH, STANDING

AT_ONCE = 200
KEY = "q"  # the type of an array of keys: eight bytes each
BACK, FORWARD = "back", "forward"
RUN = "run "
PRIVATE = frozenset({Source.Role.HOUSEHOLD, Source.Role.CUSTOMER})
STEPS = {BACK: ("target", "source"), FORWARD: ("source", "target")}
WALK = """
WITH RECURSIVE walk(lot) AS (
    SELECT id FROM inventory_lot WHERE id IN (SELECT {start})
    UNION
    SELECT t.{to}_id FROM walk JOIN inventory_transfer t ON t.{here}_id = walk.lot
    WHERE t.{to}_id IS NOT NULL AND {forth} {standing}
)
SELECT w.lot, l.code, l.kind FROM walk w JOIN inventory_lot l ON l.id = w.lot
"""  # what was reversed is walked too where a document tells of it, with its declaration
START = {
    "sqlite": "value FROM json_each(%s)",
    "postgresql": "CAST(json_array_elements_text(%s) AS bigint)",
}


@dataclass(frozen=True)
class Scope:
    """What a document tells of: some lots and all behind or ahead of them, or a time from and until.

    `reference` adds all that was posted under it, as of a run; `about` are the lots asked for.
    """

    name: str
    about: tuple[Lot, ...] = ()
    direction: str = ""
    since: datetime | None = None
    until: datetime | None = None
    reference: str = ""

    @property
    def is_excerpt(self) -> bool:
        """Whether it names lots without telling how they came to be."""
        return self.direction != BACK


@dataclass(frozen=True)
class Walked:
    """The postings of a scope by their keys in order, and the code of each lot that its events are about.

    `lots` are None for all: then there may be very many postings, of eight bytes each.
    """

    postings: Sequence[int]
    lots: dict[int, str] | None


def walked(scope: Scope, *, is_standing: bool = False) -> Walked:
    """Return which postings a document tells of; reversals are told with what they reverse.

    A document that `is_standing` leaves out what was reversed, so no way leads over it.
    """
    if not scope.direction:
        return Walked(array(KEY, in_time(scope, ("pk",))), None)
    lots = lots_on_the_way(scope, is_standing=is_standing)
    of_run = Posting.objects.forth().filter(reference=scope.reference)
    keys = set(of_run.values_list("pk", flat=True)) if scope.reference else set()
    own = {lot.pk for lot in scope.about}
    for some in slices(sorted(lots), AT_ONCE * 20):
        rows = Transfer.objects.forth()
        ends = Q(**{f"{STEPS[scope.direction][0]}__in": some}) | Q(
            target__in=own.intersection(some)
        )
        keys |= set(rows.filter(ends).order_by().values_list("posting", flat=True))
    return Walked(array(KEY, sorted(keys)), lots)


def in_time(scope: Scope, order: tuple[str, ...]) -> Iterator[int]:
    """Yield the postings of a time by their keys."""
    rows = Posting.objects.forth()
    rows = rows.filter(happened_at__gte=scope.since, happened_at__lt=scope.until)
    return rows.order_by(*order).values_list("pk", flat=True).iterator(AT_ONCE * 10)


def lots_on_the_way(scope: Scope, *, is_standing: bool) -> dict[int, str]:
    """Return the code of each lot behind or ahead of those asked for, themselves included."""
    here, to = STEPS[scope.direction]
    start, standing = START[connection.vendor], f"AND {STANDING}" if is_standing else ""
    statement = WALK.format(
        start=start, here=here, to=to, standing=standing, forth=FORTH[connection.vendor]
    )
    with connection.cursor() as cursor:
        cursor.execute(statement, [json.dumps([lot.pk for lot in scope.about])])
        return {pk: code for pk, code, _kind in cursor.fetchall()}


def slices(keys: Sequence[int], size: int) -> Iterator[Sequence[int]]:
    """Yield keys in their order, some at a time."""
    for start in range(0, len(keys), size):
        yield keys[start : start + size]


def postings_told(keys: Sequence[int]) -> Iterator[Told]:
    """Yield postings as they are told to others, in the order of the book."""
    last = Posting.objects.aggregate(pk=Max("pk"))["pk"]
    for some in slices(keys, AT_ONCE):
        for posting in rows_told(some):
            yield told_of(posting, last)


def rows_told(keys: Sequence[int]) -> QuerySet[Posting]:
    """Return postings with all that is told of them, in a fixed number of queries."""
    related = ("polymer", "colour", "bin", "delivery__source")
    ends = [f"{end}__{name}" for end in ("source", "target") for name in related]
    brought = Lineage.objects.defer("document")
    brought = brought.prefetch_related("origins__polymer", "passes")
    rows = Transfer.objects.select_related(*ends).order_by("pk")
    lines = Prefetch("transfers", rows.prefetch_related(Prefetch("target__lineage", brought)))
    later = Prefetch("replaced_by", Posting.objects.order_by("pk").prefetch_related(lines))
    found = Posting.objects.filter(pk__in=keys).order_by("pk").select_related("by", "reversed_by")
    return found.prefetch_related(lines, later, "by__groups", "replaced_by__by__groups")


def told_of(posting: Posting, last: int) -> Told:
    """Return a posting as it is told; what came into the book after its `last` posting is not known."""
    undone = getattr(posting, "reversed_by", None)
    known = undone is not None and undone.pk <= last
    return Told(
        uuid=posting.uuid,
        happened_at=timezone.localtime(posting.happened_at),
        run=posting.reference.removeprefix(RUN) if posting.reference.startswith(RUN) else "",
        role=own_role(posting.by),
        flows=tuple(flow_of(line) for line in posting.transfers.all()),
        undone_at=timezone.localtime(undone.recorded_at) if known else None,
        instead=tuple(simply_told(each) for each in posting.replaced_by.all() if each.pk <= last)
        if known
        else (),
    )


def simply_told(posting: Posting) -> Told:
    """Return a posting as it is told, without what became of it."""
    flows = tuple(flow_of(line) for line in posting.transfers.all())
    return Told(posting.uuid, timezone.localtime(posting.happened_at), "", "", flows)


def flow_of(line: Transfer) -> Flow:
    """Return a transfer as it is told."""
    target = stuff_of(line.target)
    if line.source is None:
        target = replace(target, **brought_with(line.target))
    return Flow(
        source=stuff_of(line.source),
        target=target,
        mass_mg=line.mass_mg,
        role=line.role,
        melted=line.melted,
        scale=f"scale-{line.scale_id}" if line.scale_id else "",
    )


def stuff_of(lot: Lot | None) -> Stuff | None:
    """Return a lot as others are told of it; a private person is a role, never a name."""
    if lot is None:
        return None
    delivery = getattr(lot, "delivery", None)
    source = delivery.source if delivery else None
    return Stuff(
        code=lot.code,
        is_thing=lot.kind == Lot.Kind.PART,
        polymer=lot.polymer.symbol if lot.polymer else "",
        mark=lot.mark,
        colour=lot.colour.name,
        srgb=lot.colour.srgb,
        form=lot.form,
        bin=lot.bin.code if lot.bin else "",
        origin_class=lot.origin_class,
        party=str(source.pk) if source else "",
        source=source_said(source) if source else "",
        supplier_lot=delivery.supplier_lot if delivery else "",
    )


def brought_with(lot: Lot) -> dict[str, tuple[dict, ...]]:
    """Return the origins and melt passes that a document told of a lot, as they are told on."""
    if lot.kind != Lot.Kind.DELIVERY or not (lineage := getattr(lot, "lineage", None)):
        return {}
    origins = [
        {
            "lot": row.foreign_id,
            "originClass": row.origin_class,
            "polymer": row.polymer.symbol if row.polymer else "",
            "colour": row.colour,
            "srgb": row.srgb,
            "source": row.source,
            "share": f"{row.numerator}/{row.denominator}",
        }
        for row in lineage.origins.all()
    ]
    passes = [
        {"count": row.count, "share": f"{row.numerator}/{row.denominator}"}
        for row in lineage.passes.all()
    ]
    return {"origins": tuple(origins), "passes": tuple(passes)}


def source_said(source: Source) -> str:
    """Return what others are told of a source: firms by name, households and customers only as such."""
    return str(source.role) if source.role in PRIVATE else source.name


def id_of(lot: Lot, base: str) -> str:
    """Return the id of a lot in documents."""
    return (thing_id if lot.kind == Lot.Kind.PART else lot_id)(base, lot.code)


Joinings = Callable[[Scope, Collection[int] | None], Iterator[Joined]]
JOININGS: list[Joinings] = []


def also_tell(joinings: Joinings) -> None:
    """Take what an app above tells of things put together, which calls this once when it starts.

    It is asked with a scope and the keys of the lots that its events are about, None for all.
    """
    JOININGS.append(joinings)


def epcis_chunks(scope: Scope, base: str) -> Iterator[str]:
    """Yield the document of a scope in the standard EPCIS 2.0, JSON-LD, some events at a time."""
    facts = {"workshop": settings.WORKSHOP_NAME, "of": scope.name}
    facts |= {"excerpt": True} if scope.is_excerpt else {}
    facts |= {"about": [id_of(lot, base) for lot in scope.about]} if scope.about else {}
    facts |= {"direction": scope.direction} if scope.direction else {}
    head = json.dumps(head_of(base, timezone.localtime(), facts), ensure_ascii=False)
    start, end = head.rsplit("[]", 1)
    yield f"{start}[\n"
    comma = ""
    for event in epcis_events(scope, base):
        yield comma + json.dumps(event, ensure_ascii=False)
        comma = ",\n"
    yield f"\n]{end}\n"


def epcis_events(scope: Scope, base: str) -> Iterator[dict]:
    """Yield the events of a scope, those of joined things last; each is told whole or not at all."""
    found = walked(scope)
    about = None if found.lots is None else ids_of_codes(found.lots.values(), base)
    for told in postings_told(found.postings):
        is_own = bool(scope.reference) and told.run == scope.reference.removeprefix(RUN)
        for event in events_of(told, base):
            if about is None or is_own or touches(event, about, scope.direction):
                yield event
    for joinings in JOININGS:
        yield from (joining_of(each, base) for each in joinings(scope, found.lots))


def ids_of_codes(codes: Iterable[str], base: str) -> frozenset[str]:
    """Return every id that a lot of these codes may have."""
    return frozenset(make(base, code) for code in codes for make in (lot_id, thing_id))


def touches(event: dict, about: frozenset[str], direction: str) -> bool:
    """Return whether an event is about the lots of a trace: what it made, or what it was made of."""
    sides = (MADE, SEEN) if direction == BACK else (GIVEN, SEEN, MADE)
    return any(name in about for side in sides for name in ids_in(event, side))
