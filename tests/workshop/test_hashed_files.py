"""Static files as production names them."""

import re
import shutil

import pytest
from django.core.management import call_command
from django.test import override_settings

from workshop.hashed_files import Texts, whole_sheet
from workshop.settings import STATICFILES_DIRS, STORAGES

IMPORTED = re.compile(r'from "\./([\w.]+)"')


PART = re.compile(r'@import url\("([\w./]+)"\) layer\((\w+)\);')


def collect(folder, sources):
    wanted = {"STATIC_ROOT": folder, "STORAGES": STORAGES, "STATICFILES_DIRS": sources}
    with override_settings(**wanted):
        call_command("collectstatic", verbosity=0, interactive=False)
    return folder


@pytest.fixture(scope="module")
def collected(tmp_path_factory):
    return collect(tmp_path_factory.mktemp("static"), STATICFILES_DIRS)


def test_every_module_is_imported_by_its_hashed_name(collected):
    (script,) = collected.glob("js/waiting.*.js")
    imported = IMPORTED.findall(script.read_text())
    assert len(imported) >= 4
    assert [name for name in imported if not re.fullmatch(r"\w+\.[0-9a-f]{12}\.js", name)] == []
    assert [name for name in imported if not (collected / "js" / name).exists()] == []


@pytest.mark.parametrize("name", ["site", "passport"])
def test_a_sheet_holds_what_it_imports_in_the_order_and_layers_that_it_says(collected, name):
    source = STATICFILES_DIRS[0] / "css"
    parts = PART.findall((source / f"{name}.css").read_text())
    held = max(collected.glob(f"css/{name}.*.css")).read_text()
    places = [
        held.find(f"@layer {layer} {{\n{(source / path).read_text()}}}") for path, layer in parts
    ]
    assert len(places) > 6
    assert -1 not in places
    assert places == sorted(places)
    assert "@import" not in held


def test_no_style_is_left_out_of_the_sheets():
    source = STATICFILES_DIRS[0] / "css"
    named = {
        path for sheet in source.glob("*.css") for path, _layer in PART.findall(sheet.read_text())
    }
    there = {str(path.relative_to(source)) for path in source.rglob("*.css")}
    assert there - named == {"site.css", "passport.css"}


@pytest.mark.parametrize("text", ['@import "x.css";', "a { background: url(dots.svg); }"])
def test_a_style_that_names_another_file_is_refused(text):
    files = Texts({"css/site.css": '@import url("a.css") layer(elements);', "css/a.css": text})
    paths = {name: (files, name) for name in ["css/site.css", "css/a.css"]}
    with pytest.raises(ValueError, match="css/a.css names another file"):
        whole_sheet("css/site.css", paths)


def test_a_changed_part_is_a_sheet_with_another_name(collected, tmp_path):
    (before,) = collected.glob("css/site.*.css")
    changed = tmp_path / "source"
    shutil.copytree(STATICFILES_DIRS[0], changed)
    with (changed / "css" / "components" / "button.css").open("a") as file:
        file.write(".button { order: 1; }\n")
    collect(tmp_path / "static", [changed])
    (after,) = (tmp_path / "static").glob("css/site.*.css")
    assert after.name != before.name
    assert ".button { order: 1; }" in after.read_text()
