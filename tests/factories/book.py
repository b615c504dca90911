"""Everything that is written down, and what a refusal must leave untouched."""

from contextlib import contextmanager
from importlib import import_module

import pytest
from django.apps import apps
from django.core.exceptions import ValidationError
from django.db import IntegrityError, connection, transaction

guards = import_module("inventory.migrations.0002_append_only_ledger")
tree_guards = import_module("inventory.migrations.0010_checkpoints_append_only")

OURS = ("inventory", "products", "workshop")


def written() -> dict[str, list[tuple]]:
    """Return every row of every table of ours, as the database stores it."""
    models = [model for app in OURS for model in apps.get_app_config(app).get_models()]
    return {model.__name__: stored(model._meta.db_table) for model in models}


def stored(table: str) -> list[tuple]:
    """Return the rows of a table."""
    with connection.cursor() as cursor:
        cursor.execute(f"SELECT * FROM {table} ORDER BY id")  # noqa: S608
        return cursor.fetchall()


@contextmanager
def refused(code: str):
    """Expect a refusal with this code that writes nothing."""
    before = written()
    with pytest.raises(ValidationError) as refusal:
        yield refusal
    assert refusal.value.code == code
    assert written() == before


def sentence(refusal) -> str:
    """Return what a refusal says to the operator."""
    return "".join(refusal.value.messages)


def tamper(*statements: str) -> None:
    """Change the book behind its guards, as somebody with the database file could."""
    lift_guards()
    run(*statements)
    run(*guards.STATEMENTS[connection.vendor]())


def tamper_with_tree(*statements: str) -> None:
    """Change the tree of the checkpoints behind its guards."""
    run(*tree_guards.drop_statements(connection.vendor), *statements)
    run(*tree_guards.statements(connection.vendor))


def lift_guards() -> None:
    """Drop the append-only triggers; a test's transaction brings them back."""
    run(*guards.drop_statements(connection.vendor))


def run(*statements: str) -> None:
    """Run raw SQL."""
    with connection.cursor() as cursor:
        for statement in statements:
            cursor.execute(statement)


@contextmanager
def broken(constraint: str, columns: str = ""):
    """Expect the database to refuse a row by the constraint of this name.

    SQLite names the columns of a unique index in place of the index.
    """
    pattern = f"{constraint}|UNIQUE constraint failed: {columns}" if columns else constraint
    with pytest.raises(IntegrityError, match=pattern), transaction.atomic():
        yield
