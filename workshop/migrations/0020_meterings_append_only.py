"""Let the database refuse to change or delete what a meter showed.

Reversed by dropping the triggers; the rows stay.
"""

from django.db import migrations

TABLES = ("workshop_metering",)


def sqlite_statements():
    for table in TABLES:
        for act in ("UPDATE", "DELETE"):
            yield (
                f"CREATE TRIGGER {table}_no_{act.lower()} BEFORE {act} ON {table} "
                f"BEGIN SELECT RAISE(ABORT, '{table} is append-only'); END"
            )
        taken = f"EXISTS (SELECT 1 FROM {table} WHERE id = NEW.id OR uuid = NEW.uuid)"  # noqa: S608 (our table)
        yield (
            f"CREATE TRIGGER {table}_no_replace BEFORE INSERT ON {table} WHEN {taken} "
            f"BEGIN SELECT RAISE(ABORT, '{table} is append-only: UNIQUE'); END"
        )


def postgresql_statements():
    for table in TABLES:
        yield (
            f"CREATE TRIGGER {table}_no_change BEFORE UPDATE OR DELETE ON {table} "
            "FOR EACH ROW EXECUTE FUNCTION inventory_append_only()"
        )
        yield (
            f"CREATE TRIGGER {table}_no_truncate BEFORE TRUNCATE ON {table} "
            "FOR EACH STATEMENT EXECUTE FUNCTION inventory_append_only()"
        )


def drop_statements(vendor):
    names = {
        "sqlite": ("no_update", "no_delete", "no_replace"),
        "postgresql": ("no_change", "no_truncate"),
    }
    for table in TABLES:
        end = "" if vendor == "sqlite" else f" ON {table}"
        for name in names[vendor]:
            yield f"DROP TRIGGER IF EXISTS {table}_{name}{end}"


STATEMENTS = {"sqlite": sqlite_statements, "postgresql": postgresql_statements}


def add_triggers(apps, schema_editor):
    for statement in STATEMENTS[schema_editor.connection.vendor]():
        schema_editor.execute(statement, None)


def remove_triggers(apps, schema_editor):
    for statement in drop_statements(schema_editor.connection.vendor):
        schema_editor.execute(statement, None)


class Migration(migrations.Migration):
    dependencies = [("workshop", "0019_meterings"), ("inventory", "0002_append_only_ledger")]

    operations = [migrations.RunPython(add_triggers, remove_triggers)]
