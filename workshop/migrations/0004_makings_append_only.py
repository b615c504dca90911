"""Let the database refuse to change or delete what was counted, timed, read or photographed in a run.

Reversed by dropping the triggers; the rows stay.
"""

from django.db import migrations

TABLES = (
    "workshop_cycle",
    "workshop_step",
    "workshop_pause",
    "workshop_reading",
    "workshop_photo",
)


def sqlite_statements():
    for table in TABLES:
        for act in ("UPDATE", "DELETE"):
            yield (
                f"CREATE TRIGGER {table}_no_{act.lower()} BEFORE {act} ON {table} "
                f"BEGIN SELECT RAISE(ABORT, '{table} is append-only'); END"
            )


def postgresql_statements():
    for table in TABLES:
        yield (
            f"CREATE TRIGGER {table}_no_change BEFORE UPDATE OR DELETE ON {table} "
            "FOR EACH ROW EXECUTE FUNCTION inventory_append_only()"
        )


def drop_statements(vendor):
    names = ("no_update", "no_delete") if vendor == "sqlite" else ("no_change",)
    for table in TABLES:
        end = "" if vendor == "sqlite" else f" ON {table}"
        for name in names:
            yield f"DROP TRIGGER IF EXISTS {table}_{name}{end}"


STATEMENTS = {"sqlite": sqlite_statements, "postgresql": postgresql_statements}


def add_triggers(apps, schema_editor):
    for statement in STATEMENTS[schema_editor.connection.vendor]():
        schema_editor.execute(statement, None)


def remove_triggers(apps, schema_editor):
    for statement in drop_statements(schema_editor.connection.vendor):
        schema_editor.execute(statement, None)


class Migration(migrations.Migration):
    dependencies = [("workshop", "0003_makings"), ("inventory", "0002_append_only_ledger")]

    operations = [migrations.RunPython(add_triggers, remove_triggers)]
