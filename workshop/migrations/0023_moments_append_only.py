"""Let the database also refuse to replace what happened in a run, or to empty its tables at once.

Reversed by dropping the triggers; the rows stay.
"""

from django.db import migrations

SAME = "id = NEW.id OR uuid = NEW.uuid"
TABLES = {
    "workshop_cycle": f"{SAME} OR undoes_id = NEW.undoes_id",
    "workshop_step": SAME,
    "workshop_pause": f"{SAME} OR ends_id = NEW.ends_id",
    "workshop_reading": SAME,
    "workshop_photo": SAME,
}
NAMES = {"sqlite": "no_replace", "postgresql": "no_truncate"}


def sqlite_statements():
    for table, same in TABLES.items():
        taken = f"EXISTS (SELECT 1 FROM {table} WHERE {same})"  # noqa: S608 (our table)
        yield (
            f"CREATE TRIGGER {table}_no_replace BEFORE INSERT ON {table} WHEN {taken} "
            f"BEGIN SELECT RAISE(ABORT, '{table} is append-only: UNIQUE'); END"
        )


def postgresql_statements():
    for table in TABLES:
        yield (
            f"CREATE TRIGGER {table}_no_truncate BEFORE TRUNCATE ON {table} "
            "FOR EACH STATEMENT EXECUTE FUNCTION inventory_append_only()"
        )


def drop_statements(vendor):
    for table in TABLES:
        end = "" if vendor == "sqlite" else f" ON {table}"
        yield f"DROP TRIGGER IF EXISTS {table}_{NAMES[vendor]}{end}"


STATEMENTS = {"sqlite": sqlite_statements, "postgresql": postgresql_statements}


def add_triggers(apps, schema_editor):
    for statement in STATEMENTS[schema_editor.connection.vendor]():
        schema_editor.execute(statement, None)


def remove_triggers(apps, schema_editor):
    for statement in drop_statements(schema_editor.connection.vendor):
        schema_editor.execute(statement, None)


class Migration(migrations.Migration):
    dependencies = [
        ("workshop", "0022_barrel_volume"),
        ("inventory", "0002_append_only_ledger"),
    ]

    operations = [migrations.RunPython(add_triggers, remove_triggers)]
