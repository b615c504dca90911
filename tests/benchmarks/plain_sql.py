"""The plain ways to trace in SQL.

One recursive query that carries the share along each path is right, and short, and what one
would write first. But it walks every path and not every lot, and once offcuts loop back their
number explodes; so it is stopped after a while.

The other is how the design was first tried: one recursive query walks the lots, hands over the
transfers row by row, and the sweep does the rest. A machine that is slow is slow with it too.
"""

import threading
from time import perf_counter

from django.db import DatabaseError, connection, transaction

LONGEST_S = 10
STANDING = """t.reverses_id IS NULL
    AND NOT EXISTS (SELECT 1 FROM inventory_transfer r WHERE r.reverses_id = t.id)"""
SHARES = f"""
WITH RECURSIVE walk(lot, share) AS (
    SELECT CAST(%s AS bigint), CAST(1.0 AS double precision)
    UNION ALL
    SELECT t.source_id, walk.share * t.mass_mg / l.in_mg
    FROM walk JOIN inventory_lot l ON l.id = walk.lot
        JOIN inventory_transfer t ON t.target_id = walk.lot
    WHERE t.source_id IS NOT NULL AND {STANDING}
)
SELECT walk.lot, SUM(walk.share * t.mass_mg / l.in_mg)
FROM walk JOIN inventory_lot l ON l.id = walk.lot
    JOIN inventory_transfer t ON t.target_id = walk.lot
WHERE t.source_id IS NULL AND {STANDING}
GROUP BY walk.lot
"""  # noqa: S608

WALK = """
WITH RECURSIVE walk(lot) AS (
    SELECT CAST(%s AS bigint)
    UNION
    SELECT t.{far}_id FROM walk LEFT JOIN inventory_transfer t ON t.{near}_id = walk.lot
)
SELECT t.id, t.reverses_id, t.source_id, t.target_id, t.mass_mg, t.melted, t.role, l.in_mg
FROM walk LEFT JOIN inventory_transfer t ON t.{near}_id = walk.lot
    LEFT JOIN inventory_lot l ON l.id = walk.lot
"""  # LEFT, or else SQLite reads all transfers first


def plain_walk(lot: int, *, near: str, far: str) -> tuple[list[tuple], dict[int, int]]:
    """Return the standing transfers behind or ahead of a lot, and what each lot of the way took."""
    with connection.cursor() as cursor:
        cursor.execute(WALK.format(near=near, far=far), [lot])
        rows = cursor.fetchall()
    undone = {row[1] for row in rows if row[1]}
    edges = [row[2:7] for row in rows if row[0] and not row[1] and row[0] not in undone]
    end = 2 if near == "source" else 3
    return edges, {row[end]: row[7] for row in rows if row[0]}


def shares_by_path(lot: int) -> tuple[dict[int, float] | None, float]:
    """Return the origin shares of a lot and the ms that took; None when it was stopped."""
    began = perf_counter()
    try:
        rows = stopped_after(LONGEST_S, lot)
    except DatabaseError:
        return None, LONGEST_S * 1000
    return dict(rows), (perf_counter() - began) * 1000


def stopped_after(seconds: float, lot: int) -> list[tuple]:
    """Return the rows of the query, or raise when it takes longer."""
    with transaction.atomic(), connection.cursor() as cursor:
        if connection.vendor == "postgresql":
            cursor.execute(f"SET LOCAL statement_timeout = {int(seconds * 1000)}")
            cursor.execute(SHARES, [lot])
            return cursor.fetchall()
        alarm = threading.Timer(seconds, connection.connection.interrupt)
        alarm.start()
        try:
            cursor.execute(SHARES, [lot])
            return cursor.fetchall()
        finally:
            alarm.cancel()
