"""Walks through the ledger from several lots at once, as the book knew it at a moment.

Each lot once (UNION), in one statement; a walk that meets more transfers than its caller can
keep is given up.
"""

from datetime import datetime

from django.db import connection

from inventory.models import Transfer
from inventory.queries.closures import FORTH
from inventory.queries.pasts import KNOWN, STANDING, UNDONE, Past, stored, transfers_then
from inventory.queries.traces import batches

WALK = """
WITH RECURSIVE way(lot) AS (
    SELECT id FROM inventory_lot WHERE id IN ({keys})
    UNION
    SELECT t.{end} FROM way JOIN inventory_transfer t ON t.{start} = way.lot
        JOIN inventory_posting p ON p.id = t.posting_id
    WHERE t.{end} IS NOT NULL AND {forth} {known} {standing}
)
SELECT t.source_id, t.target_id, t.mass_mg, t.melted, t.role
FROM way JOIN inventory_transfer t ON t.{start} = way.lot
    JOIN inventory_posting p ON p.id = t.posting_id
WHERE {forth} {known} {standing}
LIMIT %(most)s
"""
BACK = {"start": "target_id", "end": "source_id"}
FORWARD = {"start": "source_id", "end": "target_id"}


class TooLong(ValueError):  # noqa: N818 (named for what was found)
    """A walk met more transfers than asked for."""


def edges_behind(keys: list[int], *, known_at: datetime, most: int) -> list[tuple]:
    """Return the transfers that stood into some lots and all behind them; raises TooLong above `most`."""
    return walked(BACK, keys, known_at, most)


def edges_ahead(keys: list[int], *, known_at: datetime, most: int) -> list[tuple]:
    """Return the transfers that stood out of some lots and all ahead of them; raises TooLong above `most`."""
    return walked(FORWARD, keys, known_at, most)


def walked(way: dict[str, str], keys: list[int], known_at: datetime, most: int) -> list[tuple]:
    """Return (source, target, mass in mg, melted, role) of each transfer on the way, in a fixed order."""
    if not keys:
        return []
    named = ", ".join(str(int(key)) for key in sorted(keys))
    standing = STANDING.format(known=UNDONE)
    statement = WALK.format(
        keys=named, known=KNOWN, standing=standing, forth=FORTH[connection.vendor], **way
    )
    with connection.cursor() as cursor:
        cursor.execute(statement, {"known_at": stored("recorded_at", known_at), "most": most + 1})
        rows = [(*row[:3], bool(row[3]), row[4]) for row in cursor.fetchall()]
    if len(rows) > most:
        raise TooLong(most)
    return sorted(rows, key=lambda row: (row[0] or 0, row[1] or 0, *row[2:]))


def lots_of(edges: list[tuple]) -> set[int]:
    """Return every lot at an end of some transfers."""
    return {lot for edge in edges for lot in edge[:2] if lot}


def postings_touching(keys, *, known_at: datetime, ends=("target",)) -> set[int]:
    """Return the postings that moved mass at these ends of some lots, those undone and their reversals too."""
    found = set()
    rows = Transfer.objects.filter(posting__recorded_at__lte=known_at).order_by()
    for some in batches(keys):
        for end in ends:
            other = "source" if end == "target" else "target"
            own = rows.forth().filter(**{f"{end}__in": some})
            undoing = rows.filter(**{f"{other}__in": some}, reverses__isnull=False)
            found |= {*own.values_list("posting", flat=True)}
            found |= {*undoing.values_list("posting", flat=True)}
    return found


def standing_into(keys, *, known_at: datetime):
    """Return the transfers that stood into some lots at a moment, in the order of the book."""
    rows = transfers_then(Past(known_at=known_at)).filter(target__in=keys)
    return rows.select_related("posting", "scale", "source", "target").order_by("posting", "pk")
