"""Let the database itself refuse to change or delete what is in the book.

SQLite needs a BEFORE INSERT trigger too, since INSERT OR REPLACE deletes the old row
without a DELETE trigger unless recursive_triggers is on. PostgreSQL needs one more for TRUNCATE.
"""

from django.db import migrations

TABLES = {
    "inventory_posting": ("id", "uuid", "reverses_id"),
    "inventory_transfer": ("id", "reverses_id"),
    "inventory_change": ("id", "uuid"),
}


def sqlite_statements():
    for table, unique in TABLES.items():
        for act in ("UPDATE", "DELETE"):
            yield (
                f"CREATE TRIGGER {table}_no_{act.lower()} BEFORE {act} ON {table} "
                f"BEGIN SELECT RAISE(ABORT, '{table} is append-only'); END"
            )
        taken = " OR ".join(
            f"EXISTS (SELECT 1 FROM {table} WHERE {column} = NEW.{column})"  # noqa: S608 (our tables)
            for column in unique
        )
        yield (
            f"CREATE TRIGGER {table}_no_replace BEFORE INSERT ON {table} WHEN {taken} "
            f"BEGIN SELECT RAISE(ABORT, '{table} is append-only: UNIQUE'); END"
        )


def postgresql_statements():
    yield (
        "CREATE OR REPLACE FUNCTION inventory_append_only() RETURNS trigger LANGUAGE plpgsql AS "
        "$$ BEGIN RAISE EXCEPTION '% is append-only', TG_TABLE_NAME "
        "USING ERRCODE = 'integrity_constraint_violation'; END $$"
    )
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
    for table in TABLES:
        if vendor == "sqlite":
            for name in ("no_update", "no_delete", "no_replace"):
                yield f"DROP TRIGGER IF EXISTS {table}_{name}"
        else:
            for name in ("no_change", "no_truncate"):
                yield f"DROP TRIGGER IF EXISTS {table}_{name} ON {table}"


STATEMENTS = {"sqlite": sqlite_statements, "postgresql": postgresql_statements}


def add_triggers(apps, schema_editor):
    vendor = schema_editor.connection.vendor
    if vendor not in STATEMENTS:
        raise RuntimeError(f"The ledger has no append-only triggers for {vendor}.")
    for statement in STATEMENTS[vendor]():
        schema_editor.execute(statement, None)


def remove_triggers(apps, schema_editor):
    for statement in drop_statements(schema_editor.connection.vendor):
        schema_editor.execute(statement, None)


class Migration(migrations.Migration):
    dependencies = [("inventory", "0001_initial")]

    operations = [migrations.RunPython(add_triggers, remove_triggers)]
