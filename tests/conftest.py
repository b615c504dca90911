"""What every test may ask for: people, an API client, and a book that survives a flush."""

import gc
import os
import sqlite3
from collections import Counter
from pathlib import Path

import pytest
from _pytest.nodeid import coerce_node_id
from django.db import connection, transaction
from django.test import TransactionTestCase
from hypothesis import settings
from rest_framework.test import APIClient

from inventory.actions.materials import load_reference
from tests.factories.people import make_person
from tests.migrated import copy_migrated

# The same examples in every run, on machines of any speed; EXAMPLES=400 tries more of them.
EXAMPLES = int(os.environ.get("EXAMPLES", "40"))
settings.register_profile("steady", deadline=None, derandomize=True, max_examples=EXAMPLES)
settings.load_profile("steady")

gc.set_threshold(20_000, 20, 20)  # coming as often as by default it took 6 % of the time

PRISTINE: list[sqlite3.Connection] = []
ROOT = Path(__file__).parents[1]
REFERENCE = ROOT / "fixtures" / "reference_materials.json"

# As nobody's replica a role may leave the append-only triggers and foreign keys aside; it must be a superuser.
KEEP = """
CREATE SCHEMA pristine;
DO $$ DECLARE name text; BEGIN
    FOR name IN SELECT tablename FROM pg_tables WHERE schemaname = 'public' LOOP
        EXECUTE format('CREATE TABLE pristine.%I AS TABLE public.%I', name, name);
    END LOOP;
END $$
"""
PUT_BACK = """
SET LOCAL session_replication_role = replica;
DO $$ DECLARE name text; BEGIN
    FOR name IN SELECT tablename FROM pg_tables WHERE schemaname = 'pristine' LOOP
        EXECUTE format('DELETE FROM public.%I', name);
        EXECUTE format('INSERT INTO public.%I SELECT * FROM pristine.%I', name, name);
    END LOOP;
END $$
"""


def pytest_ignore_collect(collection_path):
    """Leave the tests of calculations, which know no framework, unread on PostgreSQL."""
    return (connection.vendor == "postgresql" and collection_path.name == "calculations") or None


def pytest_collection_modifyitems(items):
    """Name every test apart, and skip on PostgreSQL what SQLite has shown: pages, and what asks no database."""
    name_apart(items)
    if connection.vendor == "postgresql":
        skip = pytest.mark.skip(reason="does not depend on the database; run on SQLite")
        for item in items:
            if item.get_closest_marker("one_database") or not asks_a_database(item):
                item.add_marker(skip)


def name_apart(items):
    """Give the tests of each operation of the API an id of their own; of those that share one, workers run one."""
    for item in items:
        if getattr(item, "operation_label", None):
            item._id = coerce_node_id(f"{item.parent.nodeid}::{item.name}")  # noqa: SLF001
    shared = [name for name, count in Counter(item.nodeid for item in items).items() if count > 1]
    if shared:
        raise pytest.UsageError(f"tests share an id, so that only one of them would run: {shared}")


def pytest_collection_finish():
    """Let the collector of garbage pass over what was collected of tests, which stays until the end."""
    gc.collect()
    gc.freeze()


def asks_a_database(item) -> bool:
    asked = {"db", "transactional_db"} & set(getattr(item, "fixturenames", ()))
    return bool(asked or item.get_closest_marker("django_db"))


def keep_pristine():
    """Keep a copy of the book as it is before any test."""
    connection.ensure_connection()
    if connection.vendor == "sqlite":
        PRISTINE.append(sqlite3.connect(":memory:", check_same_thread=False))
        connection.connection.backup(PRISTINE[-1])
    else:
        connection.cursor().execute(KEEP)


def start_anew(*_args):
    """Put the book back as it was before any test, which no flush can: the append-only triggers refuse it.

    A flush would also make permissions and reference data again, which takes ten times as long.
    """
    connection.ensure_connection()
    if connection.vendor == "sqlite":
        PRISTINE[-1].backup(connection.connection)
    else:
        with transaction.atomic():
            connection.cursor().execute(PUT_BACK)


TransactionTestCase._fixture_teardown = start_anew  # noqa: SLF001


@pytest.fixture(scope="session")
def django_db_keepdb(django_db_keepdb, django_db_modify_db_settings):
    """Let Django migrate a copy of a migrated database on SQLite, in place of one from nothing."""
    if connection.vendor == "sqlite":
        copy_migrated(connection.settings_dict["TEST"]["NAME"])
        return True
    return django_db_keepdb


@pytest.fixture(scope="session")
def django_db_setup(django_db_setup, django_db_blocker):
    with django_db_blocker.unblock():
        load_reference(REFERENCE)
        keep_pristine()


@pytest.fixture
def operator(db):
    return make_person("operator")


@pytest.fixture
def lead(db):
    return make_person("lead")


@pytest.fixture
def auditor(db):
    return make_person("auditor")


@pytest.fixture
def api_client(operator):
    client = APIClient()
    client.force_authenticate(operator)
    return client
