"""Let the database refuse to change or delete a sheet that a run was opened for.

Reversed by dropping the triggers; the rows stay.
"""

from django.db import migrations

TABLE = "workshop_plannedsheet"


def sqlite_statements():
    for act in ("UPDATE", "DELETE"):
        yield (
            f"CREATE TRIGGER {TABLE}_no_{act.lower()} BEFORE {act} ON {TABLE} "
            f"BEGIN SELECT RAISE(ABORT, '{TABLE} is append-only'); END"
        )
    taken = f"EXISTS (SELECT 1 FROM {TABLE} WHERE id = NEW.id OR (run_id = NEW.run_id AND part_id = NEW.part_id))"  # noqa: S608 (our table)
    yield (
        f"CREATE TRIGGER {TABLE}_no_replace BEFORE INSERT ON {TABLE} WHEN {taken} "
        f"BEGIN SELECT RAISE(ABORT, '{TABLE} is append-only: UNIQUE'); END"
    )


def postgresql_statements():
    yield (
        f"CREATE TRIGGER {TABLE}_no_change BEFORE UPDATE OR DELETE ON {TABLE} "
        "FOR EACH ROW EXECUTE FUNCTION inventory_append_only()"
    )
    yield (
        f"CREATE TRIGGER {TABLE}_no_truncate BEFORE TRUNCATE ON {TABLE} "
        "FOR EACH STATEMENT EXECUTE FUNCTION inventory_append_only()"
    )


def drop_statements(vendor):
    names = {
        "sqlite": ("no_update", "no_delete", "no_replace"),
        "postgresql": ("no_change", "no_truncate"),
    }
    end = "" if vendor == "sqlite" else f" ON {TABLE}"
    for name in names[vendor]:
        yield f"DROP TRIGGER IF EXISTS {TABLE}_{name}{end}"


STATEMENTS = {"sqlite": sqlite_statements, "postgresql": postgresql_statements}


def add_triggers(apps, schema_editor):
    for statement in STATEMENTS[schema_editor.connection.vendor]():
        schema_editor.execute(statement, None)


def remove_triggers(apps, schema_editor):
    for statement in drop_statements(schema_editor.connection.vendor):
        schema_editor.execute(statement, None)


class Migration(migrations.Migration):
    dependencies = [("workshop", "0024_planned_sheets"), ("inventory", "0002_append_only_ledger")]

    operations = [migrations.RunPython(add_triggers, remove_triggers)]
