"""The closure of a lot: every transfer behind it, or every transfer ahead of it.

One recursive query fetches it, each lot once (UNION, never paths: their number
explodes once offcuts loop back). Reversals and what they reversed are left out.

SQLite hands the edges over as one row of JSON lists: row by row, each would wait for
its turn among the threads of a server. Its walks say LEFT JOIN, since for an inner join
the planner may read the whole table first to make a Bloom filter of it; the rows that
LEFT JOIN adds have no mass and are filtered out again.
"""

import json
from itertools import repeat

from django.db import connection

from inventory.models import Lot

BACK = {
    "sqlite": """
WITH RECURSIVE up(lot) AS (
    SELECT CAST(%s AS bigint)
    UNION
    SELECT t.source_id
    FROM up LEFT JOIN inventory_transfer t ON t.target_id = up.lot AND t.reverses_id IS NULL
)
SELECT json_group_array(t.source_id) FILTER (WHERE t.mass_mg > 0),
    json_group_array(t.target_id) FILTER (WHERE t.mass_mg > 0),
    json_group_array(t.mass_mg) FILTER (WHERE t.mass_mg > 0),
    json_group_array(t.melted) FILTER (WHERE t.mass_mg > 0)
FROM up LEFT JOIN inventory_transfer t ON t.target_id = up.lot AND t.reverses_id IS NULL
    AND t.id NOT IN (SELECT r.reverses_id FROM inventory_transfer r WHERE r.reverses_id IS NOT NULL)
""",
    "postgresql": """
WITH RECURSIVE up(lot) AS (
    SELECT CAST(%s AS bigint)
    UNION
    SELECT t.source_id FROM up JOIN inventory_transfer t ON t.target_id = up.lot
    WHERE t.source_id IS NOT NULL AND t.reverses_id IS NULL
)
SELECT t.source_id, t.target_id, t.mass_mg, t.melted, ''
FROM up JOIN inventory_transfer t ON t.target_id = up.lot
WHERE t.reverses_id IS NULL
    AND NOT EXISTS (SELECT 1 FROM inventory_transfer r WHERE r.reverses_id = t.id)
""",
}
FORWARD = {
    "sqlite": """
WITH RECURSIVE down(lot) AS (
    SELECT CAST(%s AS bigint)
    UNION
    SELECT t.target_id
    FROM down LEFT JOIN inventory_transfer t ON t.source_id = down.lot AND t.reverses_id IS NULL
)
SELECT json_group_array(t.source_id) FILTER (WHERE t.mass_mg > 0),
    json_group_array(t.target_id) FILTER (WHERE t.mass_mg > 0),
    json_group_array(t.mass_mg) FILTER (WHERE t.mass_mg > 0),
    json_group_array(CASE WHEN t.target_id IS NULL THEN t.role END) FILTER (WHERE t.mass_mg > 0)
FROM down LEFT JOIN inventory_transfer t ON t.source_id = down.lot AND t.reverses_id IS NULL
    AND t.id NOT IN (SELECT r.reverses_id FROM inventory_transfer r WHERE r.reverses_id IS NOT NULL)
""",
    "postgresql": """
WITH RECURSIVE down(lot) AS (
    SELECT CAST(%s AS bigint)
    UNION
    SELECT t.target_id FROM down JOIN inventory_transfer t ON t.source_id = down.lot
    WHERE t.target_id IS NOT NULL AND t.reverses_id IS NULL
)
SELECT t.source_id, t.target_id, t.mass_mg, false, t.role
FROM down JOIN inventory_transfer t ON t.source_id = down.lot
WHERE t.reverses_id IS NULL
    AND NOT EXISTS (SELECT 1 FROM inventory_transfer r WHERE r.reverses_id = t.id)
""",
}
TAKEN = {
    "sqlite": """
SELECT json_group_array(id), json_group_array(in_mg) FROM inventory_lot
WHERE id IN (SELECT value FROM json_each(%s))
""",
    "postgresql": "SELECT id, in_mg FROM inventory_lot WHERE id = ANY(%s)",
}


def ancestor_edges(lot: Lot) -> list[tuple]:
    """Return every standing transfer into the lot and its ancestors; roles are left empty."""
    rows = answer_of(BACK, lot.pk)
    if connection.vendor == "sqlite":
        sources, targets, masses, melted = rows
        return list(zip(sources, targets, masses, melted, repeat("", len(sources)), strict=True))
    return rows


def descendant_edges(lot: Lot) -> tuple[list[tuple], dict[int, int]]:
    """Return every standing transfer out of the lot and its descendants, and what each giver took.

    Whether a transfer melted is not told, nor its role unless it went outside.
    """
    edges = answer_of(FORWARD, lot.pk)
    if connection.vendor == "sqlite":
        sources, targets, masses, roles = edges
        unmelted = repeat(False, len(sources))  # noqa: FBT003 (the fourth value of an edge)
        edges = list(zip(sources, targets, masses, unmelted, roles, strict=True))
    return edges, taken_mg({edge[0] for edge in edges}) | {lot.pk: lot.in_mg}


def taken_mg(keys: set[int]) -> dict[int, int]:
    """Return what each lot took, by primary key."""
    if connection.vendor == "sqlite":
        return dict(zip(*answer_of(TAKEN, json.dumps([*keys])), strict=True))
    return dict(answer_of(TAKEN, [*keys]))


def answer_of(statements: dict[str, str], argument) -> list:
    """Return the rows of a statement; from SQLite its columns, each a list."""
    with connection.cursor() as cursor:
        cursor.execute(statements[connection.vendor], [argument])
        if connection.vendor == "sqlite":
            return [json.loads(column) for column in cursor.fetchone()]
        return cursor.fetchall()
