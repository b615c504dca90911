"""Books that many tests begin from: told once by the real actions, then laid back row by row.

A fixture or factory under `@kept` tells a book. The rows that it wrote are noted with the book as it was
before; called again by the same day in a book that is the same, they are written as they are, which
takes a tenth to a hundredth of the time. It may depend on nothing but the book and its arguments, and
delete no row. Only on SQLite, where numbers of rows begin anew after a rollback; else it tells each time.
"""

from copy import deepcopy
from functools import wraps
from hashlib import blake2b

from django.db import connection, transaction
from django.db.models import Model
from django.utils import timezone

# What no action reads: it differs from test to test, or never.
NOT_READ = {"django_session", "sqlite_sequence", "django_migrations", "auth_permission"}
OF_LOGINS = {"password", "last_login", "date_joined"}

TOLD = {}
TABLES = {}


def kept(tell):
    """Let a book be told once where it is told by the same arguments into the same book, then laid back."""

    @wraps(tell)
    def told(*given, **more):
        if connection.vendor != "sqlite":
            return tell(*given, **more)
        connection.ensure_connection()
        before = rows_of_all()
        named = [name_of(each) for each in (*given, *more.values())]
        key = (tell, *named, timezone.localdate(), digest(before))
        if key not in TOLD:
            made = tell(*given, **more)
            TOLD[key] = (deepcopy(made), written(before, rows_of_all()))
            return made
        made, rows = TOLD[key]
        lay_back(rows)
        return deepcopy(made)

    return told


def name_of(given):
    """Return what tells one argument from another: for a row its number, else itself."""
    return (type(given), given.pk) if isinstance(given, Model) else repr(given)


def columns() -> dict[str, list[str]]:
    """Return the columns of each table."""
    if not TABLES:
        names = connection.connection.execute("SELECT name FROM sqlite_master WHERE type = 'table'")
        for (name,) in names.fetchall():
            told = connection.connection.execute(f'PRAGMA table_info("{name}")').fetchall()
            TABLES[name] = [row[1] for row in told]
        for name in NOT_READ:
            TABLES.pop(name, None)
    return TABLES


def rows_of_all() -> dict[str, dict[int, tuple]]:
    """Return all rows by table and number."""
    return {name: rows_of(name, of_table) for name, of_table in columns().items()}


def rows_of(name: str, of_table: list[str]) -> dict[int, tuple]:
    """Return the rows of a table by number, as they are stored: what `+` stands before is not converted."""
    listed = ", ".join(f'+"{column}"' for column in of_table)
    rows = connection.connection.execute(f'SELECT +rowid, {listed} FROM "{name}" ORDER BY 1')  # noqa: S608
    return {row[0]: row[1:] for row in rows}


def digest(book) -> bytes:
    """Return the digest of a book, but for how people log in."""
    total = blake2b(digest_size=16)
    for name, rows in book.items():
        read = people(rows) if name == "auth_user" else rows
        if read:
            total.update(repr((name, read)).encode())
    return total.digest()


def people(rows: dict[int, tuple]) -> dict[int, tuple]:
    """Return the rows of people but for when and how they log in."""
    of_table = columns()["auth_user"]
    left = [number for number, column in enumerate(of_table) if column not in OF_LOGINS]
    return {key: tuple(row[number] for number in left) for key, row in rows.items()}


def written(before, after) -> list:
    """Return what turns a book into the other: statements, each with its rows."""
    found = []
    for name, of_table in columns().items():
        old, new = before[name], after[name]
        if old.keys() - new.keys():
            raise AssertionError(f"rows of {name} were deleted, which is not laid back")
        added = [(key, *row) for key, row in new.items() if key not in old]
        changed = [(*row, key) for key, row in new.items() if key in old and old[key] != row]
        marks = ", ".join("?" * (len(of_table) + 1))
        listed = ", ".join(f'"{column}"' for column in of_table)
        if added:
            found.append((f'INSERT INTO "{name}" (rowid, {listed}) VALUES ({marks})', added))  # noqa: S608
        if changed:
            setting = ", ".join(f'"{column}" = ?' for column in of_table)
            found.append((f'UPDATE "{name}" SET {setting} WHERE rowid = ?', changed))  # noqa: S608
    return found


def lay_back(rows) -> None:
    """Write what was noted; the guards of the book watch it as they watch any writing."""
    with transaction.atomic():
        for statement, each in rows:
            connection.connection.executemany(statement, each)
