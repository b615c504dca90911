"""The large ledgers that are measured are written past the actions, so a small one is held to every check here."""

import json
import os
import shutil
import subprocess
import sys

import pytest

from tests.migrated import ROOT, migrated

pytestmark = pytest.mark.one_database
TRANSFERS = 3_000


@pytest.fixture
def run(tmp_path):
    """Run a Python program of this project on a migrated database of its own."""
    book = tmp_path / "measured.sqlite3"
    shutil.copyfile(migrated(), book)
    surroundings = os.environ | {"DATABASE_URL": f"sqlite:///{book}"}

    def answer(*arguments, settings):
        command = [sys.executable, *arguments]
        setting = surroundings | {"DJANGO_SETTINGS_MODULE": settings}
        return subprocess.run(
            command, cwd=ROOT, env=setting, capture_output=True, text=True, check=False
        )

    return answer


def test_a_ledger_to_measure_is_built_traced_and_holds(run):
    parts = ["--transfers", str(TRANSFERS), "--parts", "traces"]
    built = run("-m", "tests.benchmarks.one", *parts, settings="tests.benchmarks.settings")
    assert built.returncode == 0, built.stderr
    figures = json.loads(built.stdout.splitlines()[-1])["figures"]
    assert [figure for figure in figures if "broke" in str(figure)] == []
    assert len(figures) == 7, built.stderr
    held = run("manage.py", "verify_ledger", settings="workshop.settings")
    assert held.returncode == 0, held.stdout + held.stderr
