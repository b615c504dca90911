"""Rules that keep the code easy to find and change."""

import ast

import pytest
from django.apps import apps
from django.core.management import call_command
from importlinter.cli import EXIT_STATUS_SUCCESS, lint_imports

from tests.architecture.files import ROOT, faults_in

RANK = {"inventory": 0, "products": 1, "workshop": 2}
FILES = sorted(path for app in RANK for path in (ROOT / app).rglob("*.py"))
SOURCES = [path for path in FILES if "migrations" not in path.parts]
MIGRATIONS = [path for path in FILES if "migrations" in path.parts]
MODELS = [model for app in RANK for model in apps.get_app_config(app).get_models()]
WRITES = {"save", "create", "bulk_create", "bulk_update", "get_or_create", "update_or_create"}
WRITES |= {"update", "delete", "select_for_update"}
TESTS = sorted((ROOT / "tests").rglob("*.py"))


def nodes(path, kind):
    return [node for node in ast.walk(ast.parse(path.read_text())) if isinstance(node, kind)]


def test_import_contracts_hold():
    assert lint_imports() == EXIT_STATUS_SUCCESS


def test_foreign_keys_point_down():
    """Import contracts cannot see a lazy "app.Model" string."""
    found = {model.__name__: [*upward(model), *reachable_from_below(model)] for model in MODELS}
    assert {name: faults for name, faults in found.items() if faults} == {}


def relations(model):
    """Return each relation of a model with the rank of the app it leads to."""
    fields = [f for f in model._meta.get_fields() if f.is_relation and f.concrete]
    own = RANK[model._meta.app_label]
    return [(f, RANK.get(f.related_model._meta.app_label, own)) for f in fields]


def upward(model):
    own = RANK[model._meta.app_label]
    return [f"{field} points up" for field, rank in relations(model) if rank > own]


def reachable_from_below(model):
    own = RANK[model._meta.app_label]
    across = [f for f, rank in relations(model) if rank != own and not f.remote_field.hidden]
    return [f'{field} needs related_name="+"' for field in across]


def test_only_actions_write():
    assert faults_in([path for path in SOURCES if "actions" not in path.parts], writes) == {}


def writes(path):
    calls = [call for call in nodes(path, ast.Call) if isinstance(call.func, ast.Attribute)]
    return [
        f"line {c.lineno}: .{c.func.attr}()"
        for c in calls
        if c.func.attr in WRITES and not is_picture(c)
    ]


def is_picture(call):
    """A picture is saved into memory, never a row: such a call names its format."""
    return call.func.attr == "save" and "format" in {keyword.arg for keyword in call.keywords}


def test_files_and_functions_stay_small():
    assert faults_in(SOURCES + TESTS, what_is_long) == {}


def what_is_long(path):
    lengths = [(each.name, body_length(each)) for each in nodes(path, ast.FunctionDef)]
    long = [f"{name}: {length} lines" for name, length in lengths if length > 40]
    lines = path.read_text().count("\n")
    return [*([f"{lines} lines"] if lines > 400 else []), *long]


def body_length(function):
    body = function.body[1:] if ast.get_docstring(function) else function.body
    return body[-1].end_lineno - body[0].lineno + 1 if body else 0


def test_migrations_import_none_of_our_code():
    assert faults_in(MIGRATIONS, own_imports) == {}


def own_imports(path):
    names = [node.module or "" for node in nodes(path, ast.ImportFrom)]
    names += [alias.name for node in nodes(path, ast.Import) for alias in node.names]
    return [name for name in names if name.split(".")[0] in RANK]


@pytest.mark.django_db
def test_models_and_migrations_agree():
    call_command("makemigrations", check=True, dry_run=True, verbosity=0)


def test_every_constraint_is_broken_by_a_test():
    text = "".join(path.read_text() for path in TESTS if path.name.startswith("test_"))
    names = [constraint.name for model in MODELS for constraint in model._meta.constraints]
    assert [name for name in names if name not in text] == []


def layered(*layers):
    """Return the files in these layers of any app."""
    return [path for path in SOURCES if path.relative_to(ROOT).parts[1] in layers]


def test_every_layer_file_with_rules_has_its_test():
    with_rules = [p for p in layered("actions", "calculations") if p.name != "__init__.py"]
    assert faults_in(with_rules, missing_test) == {}


def missing_test(path):
    app, layer, *_rest, name = path.relative_to(ROOT).parts
    expected = ROOT / "tests" / app / layer / f"test_{name}"
    return [] if expected.exists() else [f"{expected.name} is missing"]


def test_public_rules_say_what_they_do():
    assert faults_in(layered("actions", "queries", "calculations"), silent_rules) == {}


def silent_rules(path):
    public = [f for f in nodes(path, ast.FunctionDef) if not f.name.startswith("_")]
    return [f.name for f in public if f.col_offset == 0 and not ast.get_docstring(f)]
