"""What the database itself refuses of postings and transfers, and that nothing in the book changes.

The guards are triggers, so they hold against the ORM, raw SQL and the admin alike.
"""

from uuid import uuid4

import pytest
from django.contrib.auth.models import User
from django.db import DatabaseError, connection, transaction
from django.utils import timezone

from inventory.actions.postings import reverse_posting
from inventory.actions.sources import save_source
from inventory.models import Change, Posting, Transfer
from tests.factories.book import broken, run, written
from tests.factories.inventory import KG, ScaleFactory, make_act, make_delivery

pytestmark = pytest.mark.django_db

ROWS = {"posting": Posting, "transfer": Transfer, "change": Change}
each_kind = pytest.mark.parametrize("model", ROWS.values(), ids=ROWS)
sqlite_only = pytest.mark.skipif(connection.vendor != "sqlite", reason="a word of SQLite")
postgresql_only = pytest.mark.skipif(
    connection.vendor != "postgresql", reason="a word of PostgreSQL"
)


@pytest.fixture
def book(operator):
    """One posting with one transfer, and one change."""
    make_delivery(operator)
    save_source(fields={"name": "Harbour"}, act=make_act(operator))
    return operator


@pytest.fixture
def posting(book):
    return Posting.objects.get()


class Guarded:
    """Expect the book to refuse, and to be afterwards what it was."""

    def __enter__(self):
        self.before = written()
        self.refusal = pytest.raises(DatabaseError, match="append-only|protected foreign keys")
        self.refusal.__enter__()
        self.savepoint = transaction.atomic()
        self.savepoint.__enter__()

    def __exit__(self, *error):
        self.savepoint.__exit__(*error)
        swallowed = self.refusal.__exit__(*error)
        assert written() == self.before
        return swallowed


def post_row(by, **changes):
    times = {"happened_at": timezone.now(), "recorded_at": timezone.now()}
    fields = {"uuid": uuid4(), "kind": "move", "by": by, "request": {}}
    return Posting.objects.create(**(fields | times | changes))


def transfer_row(posting, **changes):
    lot = posting.transfers.first().target
    return Transfer.objects.create(
        **({"posting": posting, "source": lot, "mass_mg": KG, "role": "disposed"} | changes)
    )


def test_posting_reversal_has_reason(posting):
    with broken("posting_reversal_has_reason"):
        post_row(posting.by, kind="reverse", reverses=posting)


def test_posting_reverses_another(posting):
    with broken("posting_reverses_another"):
        post_row(posting.by, pk=999, reverses_id=999, reason="odd")


def test_a_posting_is_reversed_once(posting, lead):
    reverse_posting(posting=posting, act=make_act(lead, "twice"))
    with broken("reverses_id|UNIQUE"):
        post_row(lead, reverses=posting, reason="twice")


@pytest.mark.parametrize("mass_mg", [0, -1])
def test_transfer_has_mass(posting, mass_mg):
    with broken("transfer_has_mass"):
        transfer_row(posting, mass_mg=mass_mg)


def test_transfer_has_an_end(posting):
    with broken("transfer_has_an_end"):
        transfer_row(posting, source=None, target=None)


def test_transfer_between_two_lots(posting):
    with broken("transfer_between_two_lots"):
        transfer_row(posting, target=posting.transfers.first().target)


def test_transfer_uncertainty_not_negative(posting):
    with broken("transfer_uncertainty_not_negative"):
        transfer_row(posting, uncertainty_ug=-1)


def test_transfer_weighed_names_scale(posting):
    with broken("transfer_weighed_names_scale"):
        transfer_row(posting, basis="weighed")


def test_transfer_of_a_scale_is_weighed(posting):
    with broken("transfer_weighed_names_scale"):
        transfer_row(posting, scale=ScaleFactory())


@each_kind
def test_no_row_is_saved_anew(book, model):
    row = model.objects.get()
    with Guarded():
        row.save()


@each_kind
def test_no_row_is_deleted(book, model):
    with Guarded():
        model.objects.get().delete()


@each_kind
def test_no_rows_are_updated(book, model):
    field = model._meta.pk.attname
    with Guarded():
        model.objects.update(**{field: 77})


@each_kind
def test_no_rows_are_updated_in_bulk(book, model):
    field = {Posting: "reason", Transfer: "role", Change: "reason"}[model]
    with Guarded():
        model.objects.bulk_update(model.objects.all(), [field])


@each_kind
def test_no_rows_are_deleted_in_bulk(book, model):
    with Guarded():
        model.objects.all()._raw_delete(model.objects.db)


@each_kind
def test_raw_sql_updates_nothing(book, model):
    with Guarded():
        run(f"UPDATE {model._meta.db_table} SET id = id + 1")  # noqa: S608


@each_kind
def test_raw_sql_deletes_nothing(book, model):
    with Guarded():
        run(f"DELETE FROM {model._meta.db_table}")  # noqa: S608


@sqlite_only
@each_kind
@pytest.mark.parametrize("recursive", ["ON", "OFF"])
def test_insert_or_replace_replaces_nothing(book, model, recursive):
    """REPLACE passes a DELETE trigger unless recursive triggers are on (sqlite.org/lang_conflict)."""
    table = model._meta.db_table
    run(f"PRAGMA recursive_triggers = {recursive}")
    with Guarded():
        run(f"INSERT OR REPLACE INTO {table} SELECT * FROM {table}")  # noqa: S608
    run("PRAGMA recursive_triggers = ON")


@sqlite_only
@each_kind
def test_update_or_replace_replaces_nothing(book, model):
    with Guarded():
        run(f"UPDATE OR REPLACE {model._meta.db_table} SET id = id + 1")  # noqa: S608


@postgresql_only
@each_kind
def test_truncate_empties_nothing(book, model):
    run("SET CONSTRAINTS ALL IMMEDIATE")
    with Guarded():
        run(f"TRUNCATE {model._meta.db_table} CASCADE")


@postgresql_only
@each_kind
def test_an_upsert_changes_nothing(book, model):
    table = model._meta.db_table
    with Guarded():
        run(
            f"INSERT INTO {table} SELECT * FROM {table} "  # noqa: S608
            "ON CONFLICT (id) DO UPDATE SET id = EXCLUDED.id + 1"
        )


@pytest.fixture
def admin(client, django_user_model):
    person = User.objects.create_superuser("root-one", password="a-long-test-password")
    client.force_login(person)
    return client


@each_kind
@pytest.mark.parametrize("page", ["change", "delete"])
def test_the_admin_changes_and_deletes_nothing(book, admin, model, page):
    before, row = written(), model.objects.get()
    path = f"/admin/inventory/{model._meta.model_name}/{row.pk}/{page}/"
    answer = admin.post(path, {"reason": "forged", "kind": "correct", "post": "yes"})
    assert answer.status_code in {302, 403, 404, 405}
    assert written() == before


@each_kind
def test_the_admin_adds_nothing(book, admin, model):
    before = written()
    answer = admin.post(f"/admin/inventory/{model._meta.model_name}/add/", {"reason": "forged"})
    assert answer.status_code in {302, 403, 404, 405}
    assert written() == before


def test_a_posting_has_a_number_in_the_book(posting):
    assert posting.number == f"P-{posting.pk:05d}"
