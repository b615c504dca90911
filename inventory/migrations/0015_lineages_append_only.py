"""Let the database refuse to change or delete what a document from elsewhere told.

Reversed by dropping the triggers; the rows stay.
"""

from django.db import migrations

UNIQUE = {
    "inventory_lineage": ("id", "lot_id"),
    "inventory_foreignorigin": ("id",),
    "inventory_foreignpasses": ("id",),
    "inventory_foreignevent": ("id",),
}
NAMES = {
    "sqlite": ("no_update", "no_delete", "no_replace"),
    "postgresql": ("no_change", "no_truncate"),
}


def sqlite_statements(table, columns):
    for act in ("UPDATE", "DELETE"):
        yield (
            f"CREATE TRIGGER {table}_no_{act.lower()} BEFORE {act} ON {table} "
            f"BEGIN SELECT RAISE(ABORT, '{table} is append-only'); END"
        )
    taken = " OR ".join(
        f"EXISTS (SELECT 1 FROM {table} WHERE {column} = NEW.{column})"  # noqa: S608 (our tables)
        for column in columns
    )
    yield (
        f"CREATE TRIGGER {table}_no_replace BEFORE INSERT ON {table} WHEN {taken} "
        f"BEGIN SELECT RAISE(ABORT, '{table} is append-only: UNIQUE'); END"
    )


def postgresql_statements(table, columns):
    yield (
        f"CREATE TRIGGER {table}_no_change BEFORE UPDATE OR DELETE ON {table} "
        "FOR EACH ROW EXECUTE FUNCTION inventory_append_only()"
    )
    yield (
        f"CREATE TRIGGER {table}_no_truncate BEFORE TRUNCATE ON {table} "
        "FOR EACH STATEMENT EXECUTE FUNCTION inventory_append_only()"
    )


OF_TABLE = {"sqlite": sqlite_statements, "postgresql": postgresql_statements}


def statements(vendor):
    for table, columns in UNIQUE.items():
        yield from OF_TABLE[vendor](table, columns)


def drop_statements(vendor):
    for table in UNIQUE:
        for name in NAMES[vendor]:
            place = f" ON {table}" if vendor == "postgresql" else ""
            yield f"DROP TRIGGER IF EXISTS {table}_{name}{place}"


def add_triggers(apps, schema_editor):
    for statement in statements(schema_editor.connection.vendor):
        schema_editor.execute(statement, None)


def remove_triggers(apps, schema_editor):
    for statement in drop_statements(schema_editor.connection.vendor):
        schema_editor.execute(statement, None)


class Migration(migrations.Migration):
    dependencies = [("inventory", "0014_lineages")]

    operations = [migrations.RunPython(add_triggers, remove_triggers)]
