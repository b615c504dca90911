"""The database that tests copy is made anew when what it is made from changes."""

import shutil

import pytest
from django.db import connection
from django.db.migrations.executor import MigrationExecutor

from tests.migrated import MADE_FROM, ROOT, digest


@pytest.fixture
def sources(tmp_path):
    """A copy of what a migrated database is made from."""
    paths = [path for pattern in MADE_FROM for path in ROOT.glob(pattern)]
    for path in [*paths, ROOT / "workshop" / "settings.py"]:
        copy = tmp_path / path.relative_to(ROOT)
        copy.parent.mkdir(parents=True, exist_ok=True)
        shutil.copyfile(path, copy)
    return tmp_path


def test_the_same_sources_have_the_same_digest(sources):
    assert digest(sources) == digest()


@pytest.mark.parametrize(
    "name",
    [
        "inventory/migrations/0001_initial.py",
        "workshop/models/runs.py",
        "products/apps.py",
        "workshop/settings.py",
        "requirements.lock",
    ],
)
def test_a_changed_source_has_another_digest(sources, name):
    path = sources / name
    path.write_text(path.read_text() + "\n")
    assert digest(sources) != digest()


def test_a_new_migration_has_another_digest(sources):
    (sources / "products" / "migrations" / "0999_more.py").write_text("")
    assert digest(sources) != digest()


@pytest.mark.django_db
def test_the_copy_has_every_migration():
    executor = MigrationExecutor(connection)
    assert executor.migration_plan(executor.loader.graph.leaf_nodes()) == []
