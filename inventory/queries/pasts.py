"""The book as it was known at a moment, and the workshop as it was on a day.

Two times are kept of everything: when it happened in the workshop and when it was recorded in
the book. `known_at` leaves out what the book did not know yet, so that an old truth stays
readable after it was corrected. `happened_at` leaves out what had not happened yet. Both
together ask what the book knew then of a moment before.
"""

from collections.abc import Iterable
from copy import copy
from dataclasses import dataclass
from datetime import datetime

from django.db import connection
from django.db.models import Exists, OuterRef, Q, QuerySet, Sum

from inventory.models import Bin, Lot, Posting, Transfer
from inventory.queries.bins import bin_named
from inventory.queries.closures import FORTH
from inventory.queries.lots import lot_named

BACK = """
WITH RECURSIVE up(lot) AS (
    SELECT CAST(%(lot)s AS bigint)
    UNION
    SELECT t.source_id FROM up JOIN inventory_transfer t ON t.target_id = up.lot
        JOIN inventory_posting p ON p.id = t.posting_id
    WHERE t.source_id IS NOT NULL AND {forth} {until} {standing}
)
SELECT t.source_id, t.target_id, t.mass_mg, t.melted, ''
FROM up JOIN inventory_transfer t ON t.target_id = up.lot
    JOIN inventory_posting p ON p.id = t.posting_id
WHERE {forth} {until} {standing}
"""
FORWARD = """
WITH RECURSIVE down(lot) AS (
    SELECT CAST(%(lot)s AS bigint)
    UNION
    SELECT t.target_id FROM down JOIN inventory_transfer t ON t.source_id = down.lot
        JOIN inventory_posting p ON p.id = t.posting_id
    WHERE t.target_id IS NOT NULL AND {forth} {until} {standing}
)
SELECT t.source_id, t.target_id, t.mass_mg, false, t.role
FROM down JOIN inventory_transfer t ON t.source_id = down.lot
    JOIN inventory_posting p ON p.id = t.posting_id
WHERE {forth} {until} {standing}
"""
KNOWN, HAPPENED = "AND p.recorded_at <= %(known_at)s", "AND p.happened_at <= %(happened_at)s"
STANDING = """
AND NOT EXISTS (
    SELECT 1 FROM inventory_transfer r JOIN inventory_posting q ON q.id = r.posting_id
    WHERE r.reverses_id = t.id {known}
)
"""
UNDONE = "AND q.recorded_at <= %(known_at)s"


@dataclass(frozen=True)
class Past:
    """What to leave out: what was recorded later than `known_at`, what happened later than `happened_at`."""

    known_at: datetime | None = None
    happened_at: datetime | None = None

    def __bool__(self):
        return bool(self.known_at or self.happened_at)

    @property
    def has_all_happened(self) -> "Past":
        """The same knowledge of all that ever happened.

        A walk back goes by it beyond its first lot: what had gone into a lot by a moment had
        gone into those behind it before, whatever a clock or a late entry says.
        """
        return Past(known_at=self.known_at)


NOW = Past()


def transfers_then(past: Past) -> QuerySet[Transfer]:
    """Return the transfers that stood at a past moment; for now, those that stand."""
    rows = Transfer.objects.forth()
    undone = Transfer.objects.filter(reverses=OuterRef("pk")).order_by()
    if past.known_at:
        rows = rows.filter(posting__recorded_at__lte=past.known_at)
        undone = undone.filter(posting__recorded_at__lte=past.known_at)
    if past.happened_at:
        rows = rows.filter(posting__happened_at__lte=past.happened_at)
    return rows.filter(~Exists(undone))


def lot_then(lot: Lot, past: Past) -> Lot:
    """Return a copy of a lot with what it had taken and given at a past moment; it is not to be saved."""
    (found,) = lots_then([lot], past)
    return found


def lots_then(lots: Iterable[Lot], past: Past) -> list[Lot]:
    """Return copies of lots with what they had taken and given at a past moment, in two queries."""
    lots = list(lots)
    rows = transfers_then(past).order_by()
    keys = [lot.pk for lot in lots]
    taken, given = (
        dict(rows.filter(**{f"{end}__in": keys}).values_list(end).annotate(mg=Sum("mass_mg")))
        for end in ("target", "source")
    )
    copies = []
    for lot in lots:
        then = copy(lot)
        then.in_mg, then.out_mg = taken.get(lot.pk, 0), given.get(lot.pk, 0)
        copies.append(then)
    return copies


def contents_then(bin: Bin, past: Past) -> list[Lot]:
    """Return the lots that held something in a bin at a past moment, the newest first.

    That is one at most, unless what happened was noted down later than what came after it.
    """
    touched = transfers_then(past).filter(Q(target__bin=bin) | Q(source__bin=bin)).order_by()
    related = ("polymer", "colour", "bin", "delivery__source")
    lots = bin.lots.filter(pk__in=touched.values("target")).select_related(*related)
    return [lot for lot in lots_then(lots.order_by("-pk"), past) if lot.held_mg > 0]


def lot_named_then(text: str, past: Past) -> Lot | None:
    """Return the lot of a code, of a delivery's number or of what a bin held at a past moment."""
    if past and (bin := bin_named(text)):
        return next(iter(contents_then(bin, past)), None)
    return lot_named(text)


def edges_back_then(lot: Lot, past: Past) -> list[tuple]:
    """Return every transfer that stood into a lot and its ancestors at a past moment; no roles."""
    edges = walked(BACK, lot, past.has_all_happened)
    if past.happened_at is None:
        return edges
    into = transfers_then(past).filter(target=lot).order_by("pk")
    own = [(*row, "") for row in into.values_list("source", "target", "mass_mg", "melted")]
    return own + [edge for edge in edges if edge[1] != lot.pk]


def edges_forward_then(lot: Lot, past: Past) -> tuple[list[tuple], dict[int, int]]:
    """Return every transfer that stood out of a lot and its descendants, and what each giver took.

    Where the clocks let the lot give more by a moment than it had taken, it took what it gave.
    """
    edges = walked(FORWARD, lot, past)
    givers = {edge[0] for edge in edges} | {lot.pk}
    rows = transfers_then(past.has_all_happened).filter(target__in=givers).order_by()
    taken = dict(rows.values_list("target").annotate(mg=Sum("mass_mg")))
    then = lot_then(lot, past)
    return edges, taken | {lot.pk: max(then.in_mg, then.out_mg)}


def walked(statement: str, lot: Lot, past: Past) -> list[tuple]:
    """Return the rows of a walk as of a past moment."""
    until = f"{KNOWN if past.known_at else ''} {HAPPENED if past.happened_at else ''}"
    standing = STANDING.format(known=UNDONE if past.known_at else "")
    arguments = {"lot": lot.pk} | {
        name: stored(name, moment)
        for name, moment in (("recorded_at", past.known_at), ("happened_at", past.happened_at))
        if moment
    }
    arguments["known_at"] = arguments.pop("recorded_at", None)
    with connection.cursor() as cursor:
        cursor.execute(
            statement.format(until=until, standing=standing, forth=FORTH[connection.vendor]),
            arguments,
        )
        return cursor.fetchall()


def stored(field: str, moment: datetime):
    """Return a moment as the database keeps it."""
    return Posting._meta.get_field(field).get_db_prep_value(moment, connection)  # noqa: SLF001
