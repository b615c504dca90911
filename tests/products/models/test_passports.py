"""What the database itself keeps of a passport."""

from uuid import uuid4

import pytest
from django.db import DatabaseError, connection, transaction
from django.utils import timezone

from products.models import Passport
from tests.factories.book import broken
from tests.factories.book import run as sql
from tests.factories.passports import make_mixed_part
from tests.kept import kept

pytestmark = pytest.mark.django_db


@pytest.fixture
@kept
def passport(operator):
    return make_mixed_part(operator).passports.get()


def add(passport, **changes):
    fields = {
        "uuid": uuid4(),
        "part": passport.part,
        "version": 2,
        "issued_at": timezone.now(),
        "issued_by": passport.issued_by,
        "reason": "typo",
        "content": {},
        "digest": "0" * 64,
    }
    return Passport.objects.create(**(fields | changes))


def test_a_version_is_issued_once(passport):
    by_trigger = "products_passport is append-only: UNIQUE"  # SQLite asks it before the index
    with broken(f"passport_version_once|{by_trigger}"):
        add(passport, version=1)


def test_a_new_version_says_why(passport):
    with broken("passport_reissue_has_reason"):
        add(passport, reason="")


def test_versions_count_from_one(passport):
    with broken("passport_version_counts_from_1"):
        add(passport, version=0)


def refused_by_trigger():
    return pytest.raises(DatabaseError, match="append-only")


def test_no_passport_is_changed(passport):
    passport.digest = "0" * 64
    with refused_by_trigger(), transaction.atomic():
        passport.save()


def test_no_passport_is_deleted(passport):
    with refused_by_trigger(), transaction.atomic():
        passport.delete()


@pytest.mark.parametrize(
    "statement",
    [
        "UPDATE products_passport SET content = '{}'",
        "UPDATE products_passport SET reason = 'x' WHERE version = 1",
        "DELETE FROM products_passport",
    ],
)
def test_raw_statements_are_refused_too(passport, statement):
    with refused_by_trigger(), transaction.atomic(), connection.cursor() as cursor:
        cursor.execute(statement)


@pytest.mark.skipif(connection.vendor != "sqlite", reason="only SQLite has OR REPLACE")
@pytest.mark.parametrize("recursive", ["ON", "OFF"])
@pytest.mark.parametrize(("key", "uuid"), [("id", "uuid"), ("id + 1", "'0'")])
def test_replacing_a_passport_is_refused_too(passport, recursive, key, uuid):
    rest = "part_id, version, issued_at, issued_by_id, reason, content, digest"
    sql(f"PRAGMA recursive_triggers = {recursive}")
    with refused_by_trigger(), transaction.atomic():
        columns, values = f"id, uuid, {rest}", f"{key}, {uuid}, {rest}"
        sql(f"REPLACE INTO products_passport ({columns}) SELECT {values} FROM products_passport")  # noqa: S608
    sql("PRAGMA recursive_triggers = ON")


@pytest.mark.skipif(connection.vendor != "postgresql", reason="only PostgreSQL has TRUNCATE")
def test_the_table_is_not_emptied_at_once(passport):
    sql("SET CONSTRAINTS ALL IMMEDIATE")
    with refused_by_trigger(), transaction.atomic():
        sql("TRUNCATE products_passport CASCADE")


def test_a_passport_reads_as_its_part_and_version(passport):
    assert str(passport) == f"{passport.part.code} version 1"
