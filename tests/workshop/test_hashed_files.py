"""Static files as production names them."""

import re

import pytest
from django.core.management import call_command
from django.test import override_settings

from workshop.settings import STORAGES

IMPORTED = re.compile(r'from "\./([\w.]+)"')


@pytest.fixture(scope="module")
def collected(tmp_path_factory):
    folder = tmp_path_factory.mktemp("static")
    with override_settings(STATIC_ROOT=folder, STORAGES=STORAGES):
        call_command("collectstatic", verbosity=0, interactive=False)
    return folder


def test_every_module_is_imported_by_its_hashed_name(collected):
    (script,) = collected.glob("js/waiting.*.js")
    imported = IMPORTED.findall(script.read_text())
    assert len(imported) >= 4
    assert [name for name in imported if not re.fullmatch(r"\w+\.[0-9a-f]{12}\.js", name)] == []
    assert [name for name in imported if not (collected / "js" / name).exists()] == []
