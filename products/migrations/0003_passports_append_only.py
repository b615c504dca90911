"""Let the database refuse to change or delete an issued passport.

Reversed by dropping the triggers; the passports stay.
"""

from django.db import migrations

TABLE = "products_passport"


def sqlite_statements():
    for act in ("UPDATE", "DELETE"):
        yield (
            f"CREATE TRIGGER {TABLE}_no_{act.lower()} BEFORE {act} ON {TABLE} "
            f"BEGIN SELECT RAISE(ABORT, '{TABLE} is append-only'); END"
        )


def postgresql_statements():
    yield (
        f"CREATE TRIGGER {TABLE}_no_change BEFORE UPDATE OR DELETE ON {TABLE} "
        "FOR EACH ROW EXECUTE FUNCTION inventory_append_only()"
    )


def drop_statements(vendor):
    names = ("no_update", "no_delete") if vendor == "sqlite" else ("no_change",)
    end = "" if vendor == "sqlite" else f" ON {TABLE}"
    for name in names:
        yield f"DROP TRIGGER IF EXISTS {TABLE}_{name}{end}"


STATEMENTS = {"sqlite": sqlite_statements, "postgresql": postgresql_statements}


def add_triggers(apps, schema_editor):
    for statement in STATEMENTS[schema_editor.connection.vendor]():
        schema_editor.execute(statement, None)


def remove_triggers(apps, schema_editor):
    for statement in drop_statements(schema_editor.connection.vendor):
        schema_editor.execute(statement, None)


class Migration(migrations.Migration):
    dependencies = [
        ("products", "0002_labels_and_passports"),
        ("inventory", "0002_append_only_ledger"),
    ]

    operations = [migrations.RunPython(add_triggers, remove_triggers)]
