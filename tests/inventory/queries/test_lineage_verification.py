"""Whatever is changed behind a lineage is found."""

from importlib import import_module

import pytest
from django.db import connection

from inventory.queries.lineage_verification import wrong_lineages
from inventory.queries.verification import first_fault
from tests.inventory.actions.test_lineages import bring

pytestmark = pytest.mark.django_db
TRIGGERS = import_module("inventory.migrations.0015_lineages_append_only")


@pytest.fixture
def unguarded(lead):
    """A received lineage, with the triggers off as for somebody with the keys of the database."""
    lineage = bring(lead).lot.lineage
    with connection.cursor() as cursor:
        for statement in TRIGGERS.drop_statements(connection.vendor):
            cursor.execute(statement)
    return lineage


def changed(statement: str) -> list[str]:
    with connection.cursor() as cursor:
        cursor.execute(statement)
    return list(wrong_lineages())


def test_a_sound_lineage_is_sound(lead):
    bring(lead)
    assert (list(wrong_lineages()), first_fault()) == ([], None)


def test_missing_guards_are_named(unguarded):
    kind, rows = first_fault()
    assert kind == "guards"
    assert any("inventory_lineage" in row for row in rows)


@pytest.mark.parametrize(
    ("statement", "fault"),
    [
        ("UPDATE inventory_foreignorigin SET numerator = 1", "shares kept"),
        ("UPDATE inventory_foreignorigin SET origin_class = 'post-consumer'", "shares kept"),
        ("UPDATE inventory_foreignpasses SET count = 4", "shares kept"),
        ("UPDATE inventory_lineage SET digest = 'x'", "not the one that was received"),
        ("UPDATE inventory_lineage SET document = '{'", "can no longer be read"),
        (
            "UPDATE inventory_lineage SET document = replace(document, 'Coast', 'Inland')",
            "not the one that was received",
        ),
        ("UPDATE inventory_foreignevent SET digest = 'x'", "kept with other content"),
    ],
)
def test_what_was_changed_is_found(unguarded, statement, fault):
    (row,) = changed(statement)
    assert fault in row
