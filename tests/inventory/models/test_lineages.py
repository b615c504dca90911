"""Rows of documents from elsewhere: constraints, and that nothing of them can be changed."""

import pytest
from django.db import DatabaseError, IntegrityError, connection, transaction

from inventory.models import ForeignEvent, ForeignOrigin, ForeignPasses
from tests.inventory.actions.test_lineages import bring

pytestmark = pytest.mark.django_db
TABLES = (
    "inventory_lineage",
    "inventory_foreignorigin",
    "inventory_foreignpasses",
    "inventory_foreignevent",
)


@pytest.fixture
def lineage(lead):
    return bring(lead).lot.lineage


def broken(name: str, make):
    with pytest.raises(IntegrityError) as caught, transaction.atomic():
        make()
    return name in str(caught.value) or "UNIQUE" in str(caught.value)


def origin(lineage, **changes):
    fields = {"position": 9, "foreign_id": "x", "origin_class": "virgin", "colour": "red"}
    shares = {"numerator": 1, "denominator": 2}
    return lambda: ForeignOrigin.objects.create(lineage=lineage, **(fields | shares | changes))


def passes(lineage, **changes):
    fields = {"count": 5, "numerator": 1, "denominator": 2}
    return lambda: ForeignPasses.objects.create(lineage=lineage, **(fields | changes))


def test_shares_are_shares(lineage):
    assert broken("foreignorigin_share_is_a_share", origin(lineage, numerator=3))
    assert broken("foreignorigin_share_is_a_share", origin(lineage, numerator=0))
    assert broken("foreignpasses_share_is_a_share", passes(lineage, numerator=3))


def test_each_stands_once(lineage):
    assert broken("foreignorigin_position_once", origin(lineage, position=1))
    assert broken("foreignpasses_count_once", passes(lineage, count=0))
    event = lineage.events.first()
    again = {"event_id": event.event_id, "is_declaration": False, "digest": "0" * 64}
    assert broken(
        "foreignevent_told_once", lambda: ForeignEvent.objects.create(lineage=lineage, **again)
    )


@pytest.mark.parametrize("table", TABLES)
@pytest.mark.parametrize("statement", ["UPDATE {} SET id = id", "DELETE FROM {}"])
def test_nothing_is_changed_or_deleted(lineage, table, statement):
    with pytest.raises(DatabaseError), transaction.atomic(), connection.cursor() as cursor:
        cursor.execute(statement.format(table))
