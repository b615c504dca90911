"""What documents in open formats tell of parts put together: what was put into what, and taken out of it."""

from collections.abc import Collection, Iterable, Iterator
from datetime import datetime

from django.db.models import Q
from django.utils import timezone

from inventory.calculations.epcis_events import Joined
from inventory.queries.exports import BACK, Scope
from inventory.queries.traces import batches
from products.models import Fixing

AT_ONCE = 500
MADE = {"part__lot__in_mg__gt": 0, "holder__lot__in_mg__gt": 0}  # what was undone was never put in
FIELDS = ("pk", "holder__code", "part__code", "put_in_at", "taken_out_at")


def joinings(scope: Scope, lots: Collection[int] | None) -> Iterator[Joined]:
    """Yield what was put into what, and taken out of it, of a time or about some lots."""
    if lots is None:
        yield from within(scope.since, scope.until)
    else:
        for row in fixings_of(lots, scope.direction):
            yield from told(row)


def within(since: datetime, until: datetime) -> Iterator[Joined]:
    """Yield what was put in or taken out from a moment until before another."""
    moments = (
        {f"{name}__gte": since, f"{name}__lt": until} for name in ("put_in_at", "taken_out_at")
    )
    put_in, taken_out = (Q(**moment) for moment in moments)
    rows = Fixing.objects.filter(put_in | taken_out, **MADE).order_by("pk").values_list(*FIELDS)
    for row in rows.iterator(AT_ONCE):
        yield from (each for each in told(row) if since <= each.at < until)


def fixings_of(lots: Collection[int], direction: str) -> list[tuple]:
    """Return the fixings about some lots, in their order.

    Ahead those of either end: where a part went, and what was put into it. Back only those of
    which both ends are told, for a document of a way back names nothing that it does not begin.
    """
    found = set()
    for some in batches(lots):
        rows = (
            Fixing.objects.filter(**MADE)
            .order_by()
            .values_list(*FIELDS, "part__lot", "holder__lot")
        )
        for end in ("part", "holder"):
            found |= {*rows.filter(**{f"{end}__lot__in": some})}
    wanted = all if direction == BACK else any
    return sorted(row[:-2] for row in found if wanted(lot in lots for lot in row[-2:]))


def told(row: Iterable) -> Iterator[Joined]:
    """Yield that a part was put in, and where it was that it was taken out again."""
    pk, holder, part, put_in_at, taken_out_at = row
    yield Joined(pk, timezone.localtime(put_in_at), holder, part)
    if taken_out_at:
        yield Joined(pk, timezone.localtime(taken_out_at), holder, part, is_out=True)
