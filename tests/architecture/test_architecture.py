"""Rules that keep the code easy to find and change."""

import ast
from pathlib import Path

import pytest
from django.apps import apps
from django.core.management import call_command
from importlinter.cli import EXIT_STATUS_SUCCESS, lint_imports

ROOT = Path(__file__).resolve().parents[2]
RANK = {"inventory": 0, "products": 1, "workshop": 2}
FILES = sorted(path for app in RANK for path in (ROOT / app).rglob("*.py"))
SOURCES = [path for path in FILES if "migrations" not in path.parts]
MIGRATIONS = [path for path in FILES if "migrations" in path.parts]
MODELS = [model for app in RANK for model in apps.get_app_config(app).get_models()]
WRITES = {"save", "create", "bulk_create", "bulk_update", "get_or_create", "update_or_create"}
WRITES |= {"update", "delete", "select_for_update"}
TESTS = sorted((ROOT / "tests").rglob("*.py"))


def each(paths):
    return pytest.mark.parametrize("path", paths, ids=lambda path: str(path.relative_to(ROOT)))


def nodes(path, kind):
    return [node for node in ast.walk(ast.parse(path.read_text())) if isinstance(node, kind)]


def test_import_contracts_hold():
    assert lint_imports() == EXIT_STATUS_SUCCESS


@pytest.mark.parametrize("model", MODELS, ids=lambda model: model.__name__)
def test_foreign_keys_point_down(model):
    """Import contracts cannot see a lazy "app.Model" string."""
    own = RANK[model._meta.app_label]
    fields = [f for f in model._meta.get_fields() if f.is_relation and f.concrete]
    ranks = {f.name: RANK.get(f.related_model._meta.app_label, own) for f in fields}
    assert [name for name, rank in ranks.items() if rank > own] == []
    across = [f for f in fields if ranks[f.name] != own and not f.remote_field.hidden]
    assert [f'{f} needs related_name="+"' for f in across] == []


@each([path for path in SOURCES if "actions" not in path.parts])
def test_only_actions_write(path):
    calls = [call for call in nodes(path, ast.Call) if isinstance(call.func, ast.Attribute)]
    written = [
        f"line {c.lineno}: .{c.func.attr}()"
        for c in calls
        if c.func.attr in WRITES and not is_picture(c)
    ]
    assert written == []


def is_picture(call):
    """A picture is saved into memory, never a row: such a call names its format."""
    return call.func.attr == "save" and "format" in {keyword.arg for keyword in call.keywords}


@each(SOURCES + TESTS)
def test_files_and_functions_stay_small(path):
    assert path.read_text().count("\n") <= 400
    lengths = {function.name: body_length(function) for function in nodes(path, ast.FunctionDef)}
    assert [name for name, length in lengths.items() if length > 40] == []


def body_length(function):
    body = function.body[1:] if ast.get_docstring(function) else function.body
    return body[-1].end_lineno - body[0].lineno + 1 if body else 0


@each(MIGRATIONS)
def test_migrations_import_none_of_our_code(path):
    names = [node.module or "" for node in nodes(path, ast.ImportFrom)]
    names += [alias.name for node in nodes(path, ast.Import) for alias in node.names]
    assert [name for name in names if name.split(".")[0] in RANK] == []


@pytest.mark.django_db
def test_models_and_migrations_agree():
    call_command("makemigrations", check=True, dry_run=True, verbosity=0)


def test_every_constraint_is_broken_by_a_test():
    text = "".join(path.read_text() for path in TESTS if path.name.startswith("test_"))
    names = [constraint.name for model in MODELS for constraint in model._meta.constraints]
    assert [name for name in names if name not in text] == []


def layered(layers):
    parts = [path.relative_to(ROOT).parts for path in SOURCES]
    return [p for p in parts if p[1] in layers and p[-1] != "__init__.py"]


@pytest.mark.parametrize("parts", layered({"actions", "calculations"}), ids="/".join)
def test_every_layer_file_with_rules_has_its_test(parts):
    app, layer, *_rest, name = parts
    assert (ROOT / "tests" / app / layer / f"test_{name}").exists()


@each([p for p in SOURCES if {"actions", "queries", "calculations"} & set(p.parts)])
def test_public_rules_say_what_they_do(path):
    public = [f for f in nodes(path, ast.FunctionDef) if not f.name.startswith("_")]
    top = [f for f in public if f.col_offset == 0]
    assert [f.name for f in top if not ast.get_docstring(f)] == []
