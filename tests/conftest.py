"""What every test may ask for: people, an API client, and a book that survives a flush."""

from importlib import import_module
from pathlib import Path

import pytest
from django.db import connection
from django.test import TransactionTestCase
from hypothesis import settings
from rest_framework.test import APIClient

from inventory.actions.materials import load_reference
from tests.factories.people import make_person

# The same examples in every run, on machines of any speed.
settings.register_profile("steady", deadline=None, derandomize=True)
settings.load_profile("steady")

REFERENCE = Path(__file__).parents[1] / "fixtures" / "reference_materials.json"
APPEND_ONLY = [
    import_module("inventory.migrations.0002_append_only_ledger"),
    import_module("inventory.migrations.0008_counts_append_only"),
    import_module("inventory.migrations.0010_checkpoints_append_only"),
    import_module("inventory.migrations.0015_lineages_append_only"),
    import_module("inventory.migrations.0017_own_figures_append_only"),
    import_module("products.migrations.0003_passports_append_only"),
    import_module("workshop.migrations.0004_makings_append_only"),
    import_module("workshop.migrations.0009_audit_files_append_only"),
    import_module("workshop.migrations.0012_plans_append_only"),
]


def pytest_collection_modifyitems(items):
    """Skip on PostgreSQL what only looks at pages or asks no database; SQLite has shown it."""
    if connection.vendor == "postgresql":
        skip = pytest.mark.skip(reason="does not depend on the database; run on SQLite")
        for item in items:
            if item.get_closest_marker("one_database") or not asks_a_database(item):
                item.add_marker(skip)


def asks_a_database(item) -> bool:
    asked = {"db", "transactional_db"} & set(getattr(item, "fixturenames", ()))
    return bool(asked or item.get_closest_marker("django_db"))


def run_statements(statements):
    with connection.cursor() as cursor:
        for statement in statements:
            cursor.execute(statement)


def statements_of(migration):
    """The statements that make the triggers of a migration."""
    if hasattr(migration, "statements"):
        return migration.statements(connection.vendor)
    return migration.STATEMENTS[connection.vendor]()


flush = TransactionTestCase._fixture_teardown  # noqa: SLF001


def flush_with_triggers_off(*args):
    """The append-only triggers refuse a flush too; lift them for it, and load reference data again."""
    for migration in APPEND_ONLY:
        run_statements(migration.drop_statements(connection.vendor))
    flush(*args)
    for migration in APPEND_ONLY:
        run_statements(statements_of(migration))
    load_reference(REFERENCE)


TransactionTestCase._fixture_teardown = flush_with_triggers_off  # noqa: SLF001


@pytest.fixture(scope="session")
def django_db_setup(django_db_setup, django_db_blocker):
    with django_db_blocker.unblock():
        load_reference(REFERENCE)


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
