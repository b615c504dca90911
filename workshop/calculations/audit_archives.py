"""An audit file as a ZIP for other programs: JSON, the same as tables, proofs, and the script that checks it.

The same bytes for the same content: fixed times, a fixed order, one way to write each value.
What must agree with what is written down once more, independently, in `static/verify_audit.py`.
"""

import csv
import json
from collections.abc import Mapping, Sequence
from io import BytesIO, StringIO
from zipfile import ZIP_DEFLATED, ZipFile, ZipInfo

from inventory.calculations.spreadsheets import plain

EARLIEST = (1980, 1, 1, 0, 0, 0)  # the first time that a ZIP can hold
HEAD = ("happened_at", "recorded_at", "by", "reason")
LINE = ("source", "target", "mass_mg", "role", "melted", "basis", "scale", "uncertainty_ug")
ORIGIN = ("lot", "name", "source", "class", "polymer", "colour", "mass_mg", "share")
ENTRIES, TRANSFERS, ORIGINS = "entries.csv", "transfers.csv", "origins.csv"
WEIGHINGS = "weighings.csv"
WEIGHING = ("entry", "lot", "role", "mass_mg", "basis", "scale", "resolution_mg", "uncertainty_ug")


def archive_zip(audit: dict, entries: Sequence[dict], added: Mapping[str, bytes]) -> bytes:
    """Return the ZIP of an audit file.

    `audit` and each of `entries` (name, kind, leaf, content, path) are plain values without
    floats; `added` are files put in as they are.
    """
    files = {
        "audit.json": written(audit),
        "checkpoint.json": written(audit["checkpoint"]),
        "entries.json": written(list(entries)),
        ENTRIES: table(("name", "kind", "leaf", *HEAD), map(head_row, entries)),
        TRANSFERS: table(("entry", "transfer", *LINE), transfer_rows(entries)),
        ORIGINS: table(ORIGIN, ([row[key] for key in ORIGIN] for row in audit["origins"])),
        WEIGHINGS: table(WEIGHING, ([row[key] for key in WEIGHING] for row in audit["weighings"])),
    }
    out = BytesIO()
    with ZipFile(out, "w", ZIP_DEFLATED, compresslevel=9) as archive:
        for name, content in sorted((files | dict(added)).items()):
            entry = ZipInfo(name, EARLIEST)
            entry.compress_type, entry.create_system, entry.external_attr = (
                ZIP_DEFLATED,
                3,
                0o644 << 16,
            )
            archive.writestr(entry, content)
    return out.getvalue()


def written(value) -> bytes:
    """Return plain values as JSON with sorted keys, one item of a list a line."""
    if isinstance(value, list):
        return b"[\n" + b",\n".join(one_line(each) for each in value) + b"\n]\n"
    lines = (one_line(key) + b": " + one_line(value[key]) for key in sorted(value))
    return b"{\n" + b",\n".join(lines) + b"\n}\n"


def one_line(value) -> bytes:
    """Return plain values as JSON on one line."""
    return json.dumps(value, ensure_ascii=False, sort_keys=True, allow_nan=False).encode()


def table(headings: Sequence[str], rows) -> bytes:
    """Return rows as CSV (RFC 4180) under their headings."""
    out = StringIO()
    writer = csv.writer(out)
    writer.writerow(headings)
    writer.writerows([cell(value) for value in row] for row in rows)
    return out.getvalue().encode()


def cell(value) -> str:
    """Return a plain value as a cell: nothing for null, true and false in small letters, text as no formula.

    >>> cell(None), cell(True), cell(12), cell("=1")
    ('', 'true', '12', "'=1")
    """
    if isinstance(value, str):
        return plain(value)
    if isinstance(value, bool):
        return str(value).lower()
    return "" if value is None else str(value)


def head_row(entry: dict) -> list:
    """Return the row of an entry: its place, and what is said of it."""
    return [entry["name"], entry["kind"], entry["leaf"], *(entry["content"][key] for key in HEAD)]


def transfer_rows(entries: Sequence[dict]):
    """Yield a row for each transfer of each entry."""
    for entry in entries:
        for place, line in enumerate(entry["content"].get("transfers", ()), 1):
            yield [entry["name"], place, *line]


def sums_of(entries: Sequence[dict], origins: Sequence[dict]) -> dict[str, int]:
    """Return what the masses of each table sum to, in mg."""
    moved = sum(row[4] for row in transfer_rows(entries))
    return {
        ENTRIES: 0,
        TRANSFERS: moved,
        ORIGINS: sum(row["mass_mg"] for row in origins),
    }
