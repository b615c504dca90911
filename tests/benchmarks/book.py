"""A book that is written by bulk insert, by the rules of the one function that posts.

Counters, fingerprints and digests are those that the actions would have written; each
rule of the ledger is checked while it is written, so that a fault of the benchmark
shows here and not in its figures.
"""

import hashlib
import json
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from random import Random
from uuid import UUID

from inventory.actions.postings import Line, head_content, line_content
from inventory.calculations.codes import ALPHABET, LENGTH
from inventory.calculations.digests import posting_digest
from inventory.calculations.fingerprints import fingerprint
from inventory.models import Mass
from tests.benchmarks.rows import Rows

CHECK_EVERY = 2_000
OPENING = datetime(2019, 1, 7, 7, 0, tzinfo=UTC)


@dataclass(slots=True)
class PlainLot:
    """A lot while it is being written."""

    pk: int
    code: str
    kind: str
    polymer_id: int
    colour_id: int
    form: str
    opened_at: datetime
    origin_class: str = ""
    bin: object = None
    in_mg: int = 0
    out_mg: int = 0
    closed_at: datetime | None = None
    filled_by: int | None = None
    pieces: int = 0
    part: int | None = None

    @property
    def held_mg(self):
        return self.in_mg - self.out_mg


@dataclass(slots=True)
class Entry:
    """A posting while it is being written."""

    pk: int
    uuid: UUID
    kind: str
    happened_at: datetime
    by: object
    reference: str
    reason: str
    reverses: "Entry | None" = None
    replaces: None = None
    fingerprint: str = ""
    lines: list = None
    keys: range = None

    @property
    def recorded_at(self):
        return self.happened_at


def quick_fingerprint(content) -> str:
    """Return the fingerprint of plain ASCII content; the same text as RFC 8785 asks for, sooner."""
    text = json.dumps(content, sort_keys=True, separators=(",", ":"))
    return hashlib.sha256(text.encode()).hexdigest()


class Book:
    """The ledger as it grows: the clock, the keys and the rows."""

    def __init__(self, connection, people, seed: int):
        self.rows = Rows(connection)
        self.random = Random(seed)
        self.people = people
        self.at = OPENING
        self.transfers = 0
        self.lots = 0
        self.live: dict[int, PlainLot] = {}

    def code(self) -> str:
        return "".join(self.random.choices(ALPHABET, k=LENGTH))

    def uuid(self) -> UUID:
        return UUID(int=self.random.getrandbits(128), version=4)

    def tick(self, minutes: float) -> None:
        """Let time pass; nobody works at night."""
        self.at += timedelta(minutes=minutes)
        if self.at.hour >= 18:
            self.at += timedelta(hours=13)

    def lot(self, kind: str, material, form: str, **more) -> PlainLot:
        """Return a new lot of a (polymer, colour) pair."""
        self.lots += 1
        polymer, colour = material
        lot = PlainLot(self.lots, self.code(), kind, polymer.pk, colour.pk, form, self.at, **more)
        self.live[lot.pk] = lot
        return lot

    def post(self, kind, lines, content, *, reference="", reason="") -> Entry:
        """Write a posting of lines, as the one function that posts does."""
        by = self.random.choice(self.people)
        entry = Entry(
            self.rows.next_key("inventory_posting"),
            self.uuid(),
            str(kind),
            self.at,
            by,
            reference,
            reason,
        )
        self.move_counters(lines, entry.pk)
        verb = {"by": by.username, "happened_at": None, "reason": reason, "verb": str(kind)}
        self.write_entry(entry, lines, verb | content)
        self.tick(self.random.expovariate(0.5))
        return entry

    def move_counters(self, lines, key: int) -> None:
        """Take, then give: new lots may do both in one posting; no other lot may."""
        for line in lines:
            if line.target is not None:
                taker = line.target
                if taker.closed_at or (taker.out_mg and taker.filled_by != key):
                    raise ValueError(f"lot {taker.pk} is sealed")
                taker.in_mg += line.mass.mg
                taker.filled_by = key
        for line in lines:
            if line.source is not None:
                line.source.out_mg += line.mass.mg
                if line.source.out_mg > line.source.in_mg or line.source.closed_at:
                    raise ValueError(f"lot {line.source.pk} gives what it does not hold")

    def reverse(self, entry: Entry, reason: str) -> Entry:
        """Write the mirror image of a posting into lots that have not given since."""
        by = self.random.choice(self.people)
        key = self.rows.next_key("inventory_posting")
        mirror = Entry(
            key, self.uuid(), "reverse", self.at, by, entry.reference, reason, reverses=entry
        )
        lines = [Line(line.target, line.source, *line_rest(line)) for line in entry.lines]
        for line in entry.lines:
            line.target.in_mg -= line.mass.mg
            line.target.filled_by = key
            line.source.out_mg -= line.mass.mg
        content = {"verb": "reverse", "posting": str(entry.uuid), "reason": reason}
        self.write_entry(mirror, lines, content | {"by": by.username, "happened_at": None})
        return mirror

    def write_entry(self, entry: Entry, lines, content: dict) -> None:
        """Write the rows of a posting and its transfers."""
        entry.fingerprint = quick_fingerprint(content)
        head, contents = head_content(entry), [line_content(line) for line in lines]
        digest = quick_fingerprint({**head, "transfers": contents})
        if entry.pk % CHECK_EVERY == 1:
            assert entry.fingerprint == fingerprint(content)
            assert digest == posting_digest(head, contents)
        rows = self.rows
        moment = rows.moment(entry.happened_at)
        rows.add(
            "inventory_posting",
            entry.pk,
            rows.uuid(entry.uuid),
            entry.kind,
            moment,
            moment,
            entry.by.pk,
            entry.reference,
            entry.reason,
            rows.document(content),
            entry.fingerprint,
            digest,
            entry.reverses.pk if entry.reverses else None,
            None,
        )
        self.write_lines(entry, lines)

    def write_lines(self, entry: Entry, lines) -> None:
        """Write the transfers of a posting."""
        entry.lines = lines
        entry.keys = range(self.transfers + 1, self.transfers + 1 + len(lines))
        undone = entry.reverses.keys if entry.reverses else [None] * len(lines)
        for key, line, reverses in zip(entry.keys, lines, undone, strict=True):
            self.rows.add(
                "inventory_transfer",
                key,
                entry.pk,
                line.source.pk if line.source else None,
                line.target.pk if line.target else None,
                line.mass.mg,
                str(line.role),
                line.melted,
                str(line.mass.basis),
                line.mass.scale.pk if line.mass.scale else None,
                line.mass.uncertainty_ug,
                reverses,
            )
        self.transfers += len(lines)

    def finish(self, lot: PlainLot) -> None:
        """Write a lot that nothing will happen to any more."""
        del self.live[lot.pk]
        rows = self.rows
        rows.add(
            "inventory_lot",
            lot.pk,
            lot.code,
            lot.kind,
            lot.polymer_id,
            lot.colour_id,
            lot.form,
            lot.origin_class,
            lot.bin.pk if lot.bin else None,
            lot.in_mg,
            lot.out_mg,
            rows.moment(lot.opened_at),
            rows.moment(lot.closed_at),
            lot.filled_by,
        )

    def finish_all(self) -> None:
        """Write every lot that is still held in memory, and all waiting rows."""
        for lot in list(self.live.values()):
            self.finish(lot)
        self.rows.write_all()


def line_rest(line: Line) -> tuple:
    """Return the mass, role and melted flag of a line."""
    return line.mass, line.role, line.melted


def typed(mg: int) -> Mass:
    """Return a typed mass."""
    return Mass(mg)
