"""Let SQLite count its rows; PostgreSQL does so by itself."""

from django.db import connection

from inventory.models import Posting

ENOUGH = 10_000  # postings; what is counted of fewer would lead astray once there are many more
GROWN = 1.25  # so many times the postings that were counted last: time to count again
COUNTED = "SELECT max(CAST(stat AS integer)) FROM sqlite_stat1 WHERE tbl = %s"


def count_rows(*, at_once: bool = False) -> bool:
    """Let the planner of SQLite know how alike the rows are in each index; return whether it counted.

    Uncounted it takes the unique index on what reverses something to find two rows for IS NULL,
    while all the others are alike in it. A book of 600,000 postings is counted in 1.6 to 2.8 s, so
    it is done again `at_once`, or else when the book has grown by a quarter since.
    """
    if connection.vendor != "sqlite":
        return False
    postings = Posting.objects.order_by().count()
    if postings < ENOUGH or not (at_once or postings >= GROWN * postings_counted()):
        return False
    with connection.cursor() as cursor:
        cursor.execute("ANALYZE")
    return True


def postings_counted() -> int:
    """Return how many postings there were when SQLite last counted its rows; 0 when it never has."""
    with connection.cursor() as cursor:
        cursor.execute("SELECT 1 FROM sqlite_schema WHERE name = 'sqlite_stat1'")
        if cursor.fetchone() is None:
            return 0
        cursor.execute(COUNTED, [Posting._meta.db_table])
        return cursor.fetchone()[0] or 0


def count_again(**_signal) -> None:
    """Count the rows anew after a migration: a table that it had to remake is uncounted from then on."""
    if Posting._meta.db_table in connection.introspection.table_names():
        count_rows(at_once=True)
