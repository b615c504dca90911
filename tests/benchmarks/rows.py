"""Write many rows quickly: executemany on SQLite, COPY on PostgreSQL."""

import json
from datetime import UTC

from django.apps import apps

AT_ONCE = 20_000

COLUMNS = {
    "inventory_posting": (
        "id uuid kind happened_at recorded_at by_id reference reason request fingerprint digest "
        "reverses_id replaces_id"
    ),
    "inventory_transfer": (
        "id posting_id source_id target_id mass_mg role melted basis scale_id uncertainty_ug "
        "reverses_id"
    ),
    "inventory_lot": (
        "id code kind polymer_id colour_id form origin_class bin_id in_mg out_mg opened_at "
        "closed_at filled_by_id"
    ),
    "inventory_delivery": (
        "id uuid code source_id delivered_on gross_mg tare_mg net_mg scale_id polymer_id "
        "identified_by colour_id form origin_class former_use condition supplier_lot tests note "
        "photo recorded_by_id recorded_at lot_id refusal"
    ),
    "products_part": "id code design_id lot_id made_in_id pieces made_at",
    "workshop_run": (
        "id code uuid operation machine_id tooling_id design_id operator_id planned_pieces "
        "settings_note note opened_at closed_at is_abandoned abandon_reason"
    ),
    "workshop_charge": "id run_id number lot_id",
    "workshop_load": "id charge_id posting_id source_id part_id mass_mg pieces",
    "workshop_yield": "id charge_id posting_id kind mass_mg pieces bin_id",
}


def left_out(table: str) -> dict:
    """Return what a table's other columns hold in a row that says nothing of them, by column."""
    (model,) = (model for model in apps.get_models() if model._meta.db_table == table)
    named = COLUMNS[table].split()
    return {
        field.column: field.get_default()
        for field in model._meta.concrete_fields
        if field.column not in named and not field.null
    }


class Rows:
    """Keeps at most AT_ONCE rows of each table in memory."""

    def __init__(self, connection):
        self.connection = connection
        self.waiting = {table: [] for table in COLUMNS}
        self.written = dict.fromkeys(COLUMNS, 0)
        self.is_sqlite = connection.vendor == "sqlite"

    def next_key(self, table: str) -> int:
        """Return the key that the next row of the table will have, when rows are added in order."""
        return self.written[table] + len(self.waiting[table]) + 1

    def add(self, table: str, *values) -> None:
        """Keep a row and write the table's rows when there are enough."""
        rows = self.waiting[table]
        rows.append(values)
        if len(rows) >= AT_ONCE:
            self.write(table)

    def write(self, table: str) -> None:
        """Write the waiting rows of a table."""
        rest = left_out(table)
        names = [*COLUMNS[table].split(), *rest]
        rows = [(*row, *rest.values()) for row in self.waiting[table]]
        if not rows:
            return
        with self.connection.cursor() as cursor:
            if self.is_sqlite:
                marks = ", ".join(["%s"] * len(names))
                cursor.executemany(
                    f"INSERT INTO {table} ({', '.join(names)}) VALUES ({marks})",  # noqa: S608
                    rows,
                )
            else:
                with cursor.copy(f"COPY {table} ({', '.join(names)}) FROM STDIN") as copy:
                    for row in rows:
                        copy.write_row(row)
        self.written[table] += len(rows)
        self.waiting[table] = []

    def write_all(self) -> None:
        """Write whatever waits."""
        for table in COLUMNS:
            self.write(table)

    def moment(self, moment):
        """Return a moment as the database stores it."""
        if moment is None or not self.is_sqlite:
            return moment
        return moment.astimezone(UTC).replace(tzinfo=None).isoformat(" ", "microseconds")

    def uuid(self, uuid):
        """Return a UUID as the database stores it."""
        return uuid.hex if self.is_sqlite else uuid

    @staticmethod
    def document(content) -> str:
        """Return JSON as the database stores it."""
        return json.dumps(content)
