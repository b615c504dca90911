"""How a database means to answer a query, and what of the book it would read whole.

SQLite is asked for its query plan: without statistics it takes every table for a large one.
PostgreSQL knows that a table has five rows; with scans and the joins that begin with one
switched off it still scans where no index serves, which is what is looked for there. A walk
in the order of an index that LIMIT ends early is no whole reading.
"""

import json
import re
from contextlib import contextmanager

from django.db import connection

BIG = {
    "inventory_posting",
    "inventory_transfer",
    "inventory_lot",
    "inventory_leaf",
    "inventory_change",
    "products_part",
}
NAMED = re.compile(
    r'(?:FROM|JOIN) "?(\w+)"?(?: (?:AS )?"?(?!ON\b|INNER\b|LEFT\b|WHERE\b|ORDER\b|GROUP\b|LIMIT\b)(\w+)"?)?'
)
SCAN = re.compile(r"SCAN (\w+)")
SWITCHES = ("seqscan", "hashjoin", "mergejoin")
STILL_EARLY = {"Nested Loop", "Subquery Scan", "Result", "Incremental Sort"}


@contextmanager
def collected():
    """Collect what is asked of the database: each SELECT once, with its values."""
    asked = {}

    def keep(execute, sql, params, many, context):
        if sql.lstrip().upper().startswith(("SELECT", "WITH")):
            asked.setdefault(sql, params)
        return execute(sql, params, many, context)

    with connection.execute_wrapper(keep):
        yield asked


def read_whole(sql: str, params) -> list[str]:
    """Return the big tables that the database would read whole to answer a query."""
    way = {"sqlite": whole_on_sqlite, "postgresql": whole_on_postgresql}[connection.vendor]
    return sorted({table for table in way(sql, params) if table in BIG})


def rows_of(statement: str, params) -> list[tuple]:
    """Return the rows of a statement."""
    with connection.cursor() as cursor:
        cursor.execute(statement, params)
        return cursor.fetchall()


def whole_on_sqlite(sql: str, params):
    """Yield the tables that SQLite scans, but for a scan in order that a LIMIT ends."""
    tables = {alias or table: table for table, alias in NAMED.findall(sql)}
    steps = rows_of(f"EXPLAIN QUERY PLAN {sql}", params)
    outermost = [step for step in steps if step[1] == 0]
    sorts = any("TEMP B-TREE" in detail for *_ids, detail in outermost)
    ends_early = " LIMIT " in sql.rsplit(")", maxsplit=1)[-1] and not sorts
    for step in steps:
        found = SCAN.match(step[-1])
        if found and not (ends_early and step is outermost[0]):
            yield tables.get(found[1], found[1])


def whole_on_postgresql(sql: str, params):
    """Yield the tables that PostgreSQL has to scan, but for a scan that a LIMIT ends."""
    with connection.cursor() as cursor:
        for switch in SWITCHES:
            cursor.execute(f"SET LOCAL enable_{switch} = off")
    ((answer,),) = rows_of(f"EXPLAIN (FORMAT JSON) {sql}", params)
    (plan,) = json.loads(answer) if isinstance(answer, str) else answer
    yield from whole_below(plan["Plan"], ends_early=False)


def whole_below(node: dict, *, ends_early: bool):
    """Yield the tables scanned at or below a node of a plan."""
    kind = node["Node Type"]
    if kind == "Seq Scan" and not ends_early:
        yield node["Relation Name"]
    early = kind == "Limit" or (ends_early and kind in STILL_EARLY)
    for place, child in enumerate(node.get("Plans", [])):
        is_outer = child.get("Parent Relationship") in {"Outer", "Subquery"} and place == 0
        yield from whole_below(child, ends_early=early and is_outer)
