"""Writing new rows of a model in one statement that is worded once."""

from functools import cache

from django.db import DEFAULT_DB_ALIAS, connections, models

AT_ONCE = 500  # rows, far below the most values that a statement may have


def write_rows(rows: list[models.Model]) -> None:
    """Write new rows, all of one model, and give them their primary keys.

    What `bulk_create` does, for acts that write the same few rows each time; it sends no signals.
    The rows must have no primary key yet, and what they refer to must have one.
    """
    for start in range(0, len(rows), AT_ONCE):
        write_some(rows[start : start + AT_ONCE])


def write_some(rows: list[models.Model]) -> None:
    """Write so many rows as go into one statement, at least one."""
    connection = connections[DEFAULT_DB_ALIAS]
    fields = fields_of(type(rows[0]))
    values = [
        field.get_db_prep_save(field.pre_save(row, add=True), connection)
        for row in rows
        for field in fields
    ]
    with connection.cursor() as cursor:
        cursor.execute(wording(type(rows[0]), len(rows)), values)
        keys = cursor.fetchall()
    for row, (key,) in zip(rows, keys, strict=True):
        row.pk = key
        row._state.adding, row._state.db = False, connection.alias  # noqa: SLF001 (as Django does)


@cache
def fields_of(model: type[models.Model]) -> tuple[models.Field, ...]:
    """Return the fields of a model that are written; the database gives the primary key."""
    return tuple(field for field in model._meta.concrete_fields if not field.primary_key)  # noqa: SLF001


@cache
def wording(model: type[models.Model], many: int) -> str:
    """Return the statement that writes so many rows of a model and answers their primary keys."""
    table, key = model._meta.db_table, model._meta.pk.column  # noqa: SLF001
    columns = ", ".join(f'"{field.column}"' for field in fields_of(model))
    places = ", ".join(["%s"] * len(fields_of(model)))
    lines = ", ".join([f"({places})"] * many)
    return f'INSERT INTO "{table}" ({columns}) VALUES {lines} RETURNING "{key}"'  # noqa: S608 (our tables)
