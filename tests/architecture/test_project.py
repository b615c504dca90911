"""Rules about the files around the code: locks, templates, styles, documents."""

import re
import tomllib

import pytest
from django.core.management import get_commands

from tests.architecture.files import ROOT, faults_in, name_of

TEMPLATES = sorted((ROOT / "templates").rglob("*.html"))
TOP = {
    "manage.py", "pyproject.toml", "README.md", "DEVELOPERS.md", "workshop", "inventory",
    "products", "templates", "static", "tests", "fixtures", "Makefile", "LICENSE",
    "requirements.lock", "requirements-dev.lock", "locale",
}  # fmt: skip
BUILT = {"build", "staticfiles", "media", "workshop.sqlite3"}


def test_top_level_holds_only_what_the_design_names():
    there = {path.name for path in ROOT.iterdir() if not path.name.startswith(".")}
    assert {name for name in there - TOP - BUILT if ".sqlite3" not in name} == set()


@pytest.mark.parametrize(
    "path", [ROOT / "requirements.lock", ROOT / "requirements-dev.lock"], ids=name_of
)
def test_locks_are_hashed_and_hold_no_addresses(path):
    text = path.read_text()
    pins = re.findall(r"^[A-Za-z0-9_.\[\]-]+==", text, re.MULTILINE)
    assert pins
    assert "://" not in text
    assert text.count("--hash=sha256:") >= len(pins)


def test_locks_hold_every_library_that_the_project_names():
    project = tomllib.loads((ROOT / "pyproject.toml").read_text())["project"]
    named = {re.split(r"[\[><=~!]", each)[0].lower() for each in project["dependencies"]}
    locked = set(
        re.findall(
            r"^([a-z0-9_.-]+)(?:\[[a-z,]+\])?==", (ROOT / "requirements.lock").read_text(), re.M
        )
    )
    assert named - locked == set()


def test_templates_hold_no_inline_script_or_style():
    inline = re.compile(r"<script(?![^>]*\bsrc=)[^>]*>|<style|\sstyle=|\son[a-z]+=")
    assert faults_in(TEMPLATES, lambda path: inline.findall(path.read_text())) == {}


def test_templates_name_no_address_elsewhere():
    elsewhere = re.compile(r"""(?:src|href|action)=["'](?:https?:)?//""")
    assert faults_in(TEMPLATES, lambda path: elsewhere.findall(path.read_text())) == {}


def test_every_component_says_its_variables():
    components = sorted((ROOT / "templates" / "components").glob("*.html"))
    assert components
    assert [
        path.name for path in components if not path.read_text().startswith(("{#", "{% comment"))
    ] == []


def test_developers_names_every_command_and_setting():
    text = (ROOT / "DEVELOPERS.md").read_text()
    own = [
        name for name, app in get_commands().items() if app in {"workshop", "inventory", "products"}
    ]
    settings = re.findall(r"^([A-Z_]+)=", (ROOT / ".env.example").read_text(), re.MULTILINE)
    read = re.findall(
        r'(?:environ\.get|flag)\("([A-Z_]+)"', (ROOT / "workshop" / "settings.py").read_text()
    )
    assert own
    assert set(read) - set(settings) - {"DATABASE_URL"} == set()
    assert [name for name in [*own, *settings] if name not in text] == []


def test_readme_opens_with_the_job_and_names_the_two_commands():
    text = (ROOT / "README.md").read_text()
    assert len(text.split("\n\n")[1]) > 200
    assert "make demo" in text
    assert "make test" in text
