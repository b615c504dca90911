"""What the database itself keeps of cycles, steps, pauses, readings and photos."""

from decimal import Decimal
from uuid import uuid4

import pytest
from django.db import DatabaseError, connection, transaction

from tests.factories.book import broken
from tests.factories.book import run as sql
from tests.factories.making import at, make_old_run
from workshop.models import Cycle, Pause, Photo, Reading, Step

pytestmark = pytest.mark.django_db

FULL = {
    Cycle: {"pieces": 1},
    Step: {"name": "heat"},
    Pause: {"reason": "break"},
    Reading: {"quantity": "melt", "value": Decimal(200)},
    Photo: {"picture": "runs/none.jpg"},
}


@pytest.fixture
def run(operator):
    return make_old_run(operator)


def add(run, model, **fields):
    moment = {"happened_at": at(0), "recorded_at": at(0), "by": run.operator}
    return model.objects.create(run=run, uuid=uuid4(), **moment, **(FULL[model] | fields))


def test_a_cycle_counts_pieces(run):
    with broken("cycle_counts_or_undoes"):
        add(run, Cycle, pieces=0)


def test_an_undoing_counts_none(run):
    cycle = add(run, Cycle)
    with broken("cycle_counts_or_undoes"):
        add(run, Cycle, undoes=cycle)


def test_a_pause_says_why(run):
    with broken("pause_says_why"):
        add(run, Pause, reason="")


def test_the_end_of_a_pause_has_no_reason(run):
    begun = add(run, Pause)
    with broken("pause_says_why"):
        add(run, Pause, ends=begun)


def test_something_else_is_said_in_words(run):
    with broken("pause_for_something_else_is_noted"):
        add(run, Pause, reason="other")


def test_a_window_is_kept_in_order(run):
    with broken("reading_window_in_order"):
        add(run, Reading, low=Decimal(2), high=Decimal(1))


def test_above_the_ceiling_names_the_ceiling(run):
    with broken("reading_above_fume_names_the_ceiling"):
        add(run, Reading, is_above_fume=True)


def refused_by_trigger():
    return pytest.raises(DatabaseError, match="append-only")


@pytest.mark.parametrize("model", FULL, ids=lambda model: model.__name__)
def test_no_row_is_changed(run, model):
    row = add(run, model)
    with refused_by_trigger(), transaction.atomic():
        row.save()


@pytest.mark.parametrize("model", FULL, ids=lambda model: model.__name__)
def test_no_row_is_deleted(run, model):
    row = add(run, model)
    with refused_by_trigger(), transaction.atomic():
        row.delete()


@pytest.mark.skipif(connection.vendor != "sqlite", reason="only SQLite has OR REPLACE")
@pytest.mark.parametrize("model", FULL, ids=lambda model: model.__name__)
@pytest.mark.parametrize("recursive", ["ON", "OFF"])
def test_replacing_a_row_is_refused_too(run, model, recursive):
    add(run, model)
    table = model._meta.db_table
    sql(f"PRAGMA recursive_triggers = {recursive}")
    with refused_by_trigger(), transaction.atomic():
        sql(f"INSERT OR REPLACE INTO {table} SELECT * FROM {table}")  # noqa: S608
    sql("PRAGMA recursive_triggers = ON")


@pytest.mark.skipif(connection.vendor != "postgresql", reason="only PostgreSQL has TRUNCATE")
@pytest.mark.parametrize("model", FULL, ids=lambda model: model.__name__)
def test_no_table_is_emptied_at_once(run, model):
    add(run, model)
    sql("SET CONSTRAINTS ALL IMMEDIATE")
    with refused_by_trigger(), transaction.atomic():
        sql(f"TRUNCATE {model._meta.db_table} CASCADE")


@pytest.mark.parametrize(
    ("fields", "why"),
    [
        ({"reason": "break"}, "break"),
        ({"reason": "fault", "note": "heater 2"}, "machine fault: heater 2"),
        ({"reason": "other", "note": "visitors"}, "visitors"),
    ],
)
def test_a_pause_says_its_reason_in_words(run, fields, why):
    assert add(run, Pause, **fields).why == why
