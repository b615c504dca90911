"""An audit file as a ZIP for other programs: JSON, the same as tables, proofs, and the script that checks it.

The same bytes for the same content: fixed times, a fixed order, one way to write each value.
What must agree with what is written down once more, independently, in `static/verify_audit.py`.
"""

import csv
import json
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from io import StringIO
from itertools import islice
from zipfile import ZIP_DEFLATED, ZipFile, ZipInfo

from inventory.calculations.spreadsheets import plain

EARLIEST = (1980, 1, 1, 0, 0, 0)  # the first time that a ZIP can hold
HEAD = ("happened_at", "recorded_at", "by", "reason")
LINE = ("source", "target", "mass_mg", "role", "melted", "basis", "scale", "uncertainty_ug")
ORIGIN = ("lot", "name", "source", "class", "polymer", "colour", "mass_mg", "share")
ENTRIES, TRANSFERS, ORIGINS = "entries.csv", "transfers.csv", "origins.csv"
WEIGHINGS = "weighings.csv"
WEIGHING = ("entry", "lot", "role", "mass_mg", "basis", "scale", "resolution_mg", "uncertainty_ug")
NAMED = "entries"  # the list of an audit file that may be of any length
AT_ONCE = 200  # entries or rows
ENOUGH = 64 * 1024  # bytes that are handed on together
LARGE = (
    400_000  # entries; with more a file in the ZIP may have more than the 2 GB of its plain form
)


@dataclass(frozen=True)
class Entries:
    """The entries of an audit file, each way gone through anew whenever they are needed; of any length.

    `named` have name, kind and leaf, `told` the content besides, `sealed` the path besides that.
    """

    named: Iterable[dict]
    told: Iterable[dict]
    sealed: Iterable[dict]


def archive_zip(audit: dict, entries: Entries, added: Mapping[str, bytes]) -> Iterator[bytes]:
    """Yield the ZIP of an audit file, some bytes at a time.

    `audit` is of plain values without floats, without its entries; `added` are files put in as
    they are.
    """
    files = {
        "audit.json": written(audit, entries.named),
        "checkpoint.json": written(audit["checkpoint"]),
        "entries.json": written_list(entries.sealed),
        ENTRIES: table(("name", "kind", "leaf", *HEAD), map(head_row, entries.told)),
        TRANSFERS: table(("entry", "transfer", *LINE), transfer_rows(entries.told)),
        ORIGINS: table(ORIGIN, ([row[key] for key in ORIGIN] for row in audit["origins"])),
        WEIGHINGS: table(WEIGHING, ([row[key] for key in WEIGHING] for row in audit["weighings"])),
    }
    is_large = sum(1 for _each in entries.named) > LARGE
    return zipped(files | {name: [content] for name, content in added.items()}, is_large=is_large)


def zipped(files: Mapping[str, Iterable[bytes]], *, is_large: bool) -> Iterator[bytes]:
    """Yield a ZIP of files in the order of their names, each written piece by piece."""
    sink = Sink()
    with ZipFile(sink, "w", ZIP_DEFLATED) as archive:
        for name, pieces in sorted(files.items(), key=lambda file: file[0]):
            entry = ZipInfo(name, EARLIEST)
            entry.compress_type, entry.create_system = ZIP_DEFLATED, 3
            entry.external_attr = 0o644 << 16
            with archive.open(entry, "w", force_zip64=is_large) as file:
                for piece in pieces:
                    file.write(piece)
                    if sink.length > ENOUGH:
                        yield sink.taken()
    yield sink.taken()


class Sink:
    """Takes what is written into a ZIP until it is handed on; nothing in it is sought again."""

    def __init__(self):
        self.held, self.length = [], 0

    def write(self, octets) -> int:
        """Take some bytes."""
        self.held.append(bytes(octets))
        self.length += len(octets)
        return len(octets)

    def flush(self) -> None:
        """Nothing is held back."""

    def taken(self) -> bytes:
        """Hand on what was taken."""
        whole = b"".join(self.held)
        self.held, self.length = [], 0
        return whole


def written(value: dict, named: Iterable[dict] | None = None) -> Iterator[bytes]:
    """Yield plain values as JSON with sorted keys, one a line; `named` is a long list among them."""
    keys = sorted(value if named is None else {*value, NAMED})
    for place, key in enumerate(keys):
        yield (b",\n" if place else b"{\n") + one_line(key) + b": "
        is_long = key == NAMED and named is not None
        yield from listed(named, b", ", b"[", b"]") if is_long else [one_line(value[key])]
    yield b"\n}\n"


def written_list(values: Iterable) -> Iterator[bytes]:
    """Yield a list as JSON, one item a line."""
    return listed(values, b",\n", b"[\n", b"\n]\n")


def listed(values: Iterable, between: bytes, start: bytes, end: bytes) -> Iterator[bytes]:
    """Yield a list as JSON, some items at a time."""
    yield start
    for place, some in enumerate(batched(values)):
        yield (between if place else b"") + between.join(map(one_line, some))
    yield end


def batched(values: Iterable, size: int = AT_ONCE) -> Iterator[list]:
    """Yield some values at a time."""
    rest = iter(values)
    while some := list(islice(rest, size)):
        yield some


def one_line(value) -> bytes:
    """Return plain values as JSON on one line."""
    return json.dumps(value, ensure_ascii=False, sort_keys=True, allow_nan=False).encode()


def table(headings: Sequence[str], rows: Iterable) -> Iterator[bytes]:
    """Yield rows as CSV (RFC 4180) under their headings, some at a time."""
    yield csv_of([headings])
    for some in batched(rows):
        yield csv_of([cell(value) for value in row] for row in some)


def csv_of(rows: Iterable) -> bytes:
    """Return some rows of text as CSV."""
    out = StringIO()
    csv.writer(out).writerows(rows)
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


def transfer_rows(entries: Iterable[dict]) -> Iterator[list]:
    """Yield a row for each transfer of each entry."""
    for entry in entries:
        for place, line in enumerate(entry["content"].get("transfers", ()), 1):
            yield [entry["name"], place, *line]


def sums_of(moved_mg: int, origins: Sequence[dict]) -> dict[str, int]:
    """Return what the masses of each table sum to, in mg; `moved_mg` is that of all transfers."""
    own_mg = sum(row["mass_mg"] for row in origins)
    return {ENTRIES: 0, TRANSFERS: moved_mg, ORIGINS: own_mg}
