"""The closure of a lot: every transfer behind it, or every transfer ahead of it.

One recursive query fetches it, each lot once (UNION, never paths: their number
explodes once offcuts loop back). Reversals and what they reversed are left out, on the way too:
what lies behind a transfer that never happened is no ancestor.

The edges are handed over as one row of lists, a list for each of their values: in JSON by
SQLite, as arrays by PostgreSQL. Row by row, each would wait on SQLite for its turn among the
threads of a server, and on PostgreSQL take longer to hand over than to find.

The walks of SQLite say LEFT JOIN, since for an inner join the planner may read the whole
table first to make a Bloom filter of it; the rows that LEFT JOIN adds have no mass and are
filtered out again. What was reversed is looked up in a list of all reversals, for they are few:
asked for each transfer, PostgreSQL sorts the transfers to merge them with the index.
"""

import json
from collections.abc import Iterable
from itertools import repeat

from django.db import connection

from inventory.models import Lot

# What is no reversal. The plus keeps SQLite off the unique index, which its planner takes to find few
# rows as long as the database has not counted them, and in which all of these are alike.
FORTH = {"sqlite": "+t.reverses_id IS NULL", "postgresql": "t.reverses_id IS NULL"}
STANDING = (
    "t.id NOT IN (SELECT r.reverses_id FROM inventory_transfer r WHERE r.reverses_id IS NOT NULL)"
)
BACK = {
    "sqlite": f"""
WITH RECURSIVE up(lot) AS (
    SELECT CAST(%s AS bigint)
    UNION
    SELECT t.source_id
    FROM up LEFT JOIN inventory_transfer t ON t.target_id = up.lot AND {FORTH["sqlite"]}
    AND {STANDING}
)
SELECT json_group_array(t.source_id) FILTER (WHERE t.mass_mg > 0),
    json_group_array(t.target_id) FILTER (WHERE t.mass_mg > 0),
    json_group_array(t.mass_mg) FILTER (WHERE t.mass_mg > 0),
    json_group_array(t.melted) FILTER (WHERE t.mass_mg > 0)
FROM up LEFT JOIN inventory_transfer t ON t.target_id = up.lot AND {FORTH["sqlite"]}
    AND {STANDING}
""",  # noqa: S608 (our own words, no one else's)
    "postgresql": f"""
WITH RECURSIVE up(lot) AS (
    SELECT CAST(%s AS bigint)
    UNION
    SELECT t.source_id FROM up JOIN inventory_transfer t ON t.target_id = up.lot
    WHERE t.source_id IS NOT NULL AND {FORTH["postgresql"]}
        AND {STANDING}
)
SELECT array_agg(t.source_id), array_agg(t.target_id), array_agg(t.mass_mg), array_agg(t.melted)
FROM up JOIN inventory_transfer t ON t.target_id = up.lot
WHERE {FORTH["postgresql"]}
    AND {STANDING}
""",  # noqa: S608 (our own words, no one else's)
}
DOWN = {
    "sqlite": f"""
WITH RECURSIVE down(lot) AS (
    SELECT CAST(%s AS bigint)
    UNION
    SELECT t.target_id
    FROM down LEFT JOIN inventory_transfer t ON t.source_id = down.lot AND {FORTH["sqlite"]}
    AND {STANDING}
)
""",  # noqa: S608 (our own words, no one else's)
    "postgresql": f"""
WITH RECURSIVE down(lot) AS (
    SELECT CAST(%s AS bigint)
    UNION
    SELECT t.target_id FROM down JOIN inventory_transfer t ON t.source_id = down.lot
    WHERE t.target_id IS NOT NULL AND {FORTH["postgresql"]}
        AND {STANDING}
)
""",  # noqa: S608 (our own words, no one else's)
}
FORWARD = {
    "sqlite": f"""{DOWN["sqlite"]}
SELECT json_group_array(t.source_id) FILTER (WHERE t.mass_mg > 0),
    json_group_array(t.target_id) FILTER (WHERE t.mass_mg > 0),
    json_group_array(t.mass_mg) FILTER (WHERE t.mass_mg > 0),
    json_group_array(CASE WHEN t.target_id IS NULL THEN t.role END) FILTER (WHERE t.mass_mg > 0)
FROM down LEFT JOIN inventory_transfer t ON t.source_id = down.lot AND {FORTH["sqlite"]}
    AND {STANDING}
""",  # noqa: S608 (our own words, no one else's)
    "postgresql": f"""{DOWN["postgresql"]}
SELECT array_agg(t.source_id), array_agg(t.target_id), array_agg(t.mass_mg),
    array_agg(CASE WHEN t.target_id IS NULL THEN t.role END)
FROM down JOIN inventory_transfer t ON t.source_id = down.lot
WHERE {FORTH["postgresql"]}
    AND {STANDING}
""",  # noqa: S608 (our own words, no one else's)
}
AHEAD = {
    "sqlite": f"{DOWN['sqlite']} SELECT json_group_array(lot) FILTER (WHERE lot > 0) FROM down",  # noqa: S608
    "postgresql": f"{DOWN['postgresql']} SELECT array_agg(lot) FROM down",  # noqa: S608
}
TAKEN = {
    "sqlite": """
SELECT json_group_array(id), json_group_array(in_mg) FROM inventory_lot
WHERE id IN (SELECT value FROM json_each(%s))
""",
    "postgresql": """
SELECT array_agg(id), array_agg(in_mg) FROM inventory_lot
WHERE id = ANY(translate(%s, '[]', '{}')::bigint[])
""",
}
BINARY = 1  # the format of answers, as the protocol of PostgreSQL numbers it
ONE_LOT = "SELECT CAST(%s AS bigint)"
MANY_LOTS = {
    "sqlite": "SELECT value FROM json_each(%s)",
    "postgresql": "SELECT unnest(translate(%s, '[]', '{}')::bigint[])",
}


def ancestor_edges(lot: Lot) -> list[tuple]:
    """Return every standing transfer into the lot and its ancestors; roles are left empty."""
    return edges_back(columns_of(BACK[connection.vendor], lot.pk))


def ancestor_edges_of_all(keys: Iterable[int]) -> list[tuple]:
    """Return every standing transfer into some lots, by primary key, and their ancestors."""
    return edges_back(columns_of(from_many(BACK), json.dumps([*keys])))


def edges_back(columns: list[list]) -> list[tuple]:
    """Return the columns of a walk back as edges."""
    sources, targets, masses, melted = columns
    return list(zip(sources, targets, masses, melted, repeat("", len(sources)), strict=True))


def descendant_edges(lot: Lot) -> tuple[list[tuple], dict[int, int]]:
    """Return every standing transfer out of the lot and its descendants, and what each giver took.

    Whether a transfer melted is not told, nor its role unless it went outside.
    """
    sources, targets, masses, roles = columns_of(FORWARD[connection.vendor], lot.pk)
    unmelted = repeat(False, len(sources))  # noqa: FBT003 (the fourth value of an edge)
    edges = list(zip(sources, targets, masses, unmelted, roles, strict=True))
    return edges, taken_mg({*sources}) | {lot.pk: lot.in_mg}


def lots_ahead_of(keys: Iterable[int]) -> set[int]:
    """Return the primary keys of some lots and of all that any of their mass went into."""
    keys = set(keys)
    if not keys:
        return keys
    (lots,) = columns_of(from_many(AHEAD), json.dumps([*keys]))
    return keys | set(lots)


def taken_mg(keys: set[int]) -> dict[int, int]:
    """Return what each lot took, by primary key."""
    return dict(zip(*columns_of(TAKEN[connection.vendor], json.dumps([*keys])), strict=True))


def from_many(walk: dict[str, str]) -> str:
    """Return a walk that starts from many lots, given as a list in JSON."""
    vendor = connection.vendor
    return walk[vendor].replace(ONE_LOT, MANY_LOTS[vendor], 1)


def columns_of(statement: str, argument) -> list[list]:
    """Return the columns of a statement that answers with one row of lists."""
    with connection.cursor() as cursor:
        if connection.vendor == "postgresql":
            cursor.cursor.format = BINARY  # arrays of numbers need no reading of text then
            cursor.execute(statement, [argument])
            return [column or [] for column in cursor.fetchone()]
        cursor.execute(statement, [argument])
        return [json.loads(column) for column in cursor.fetchone()]
