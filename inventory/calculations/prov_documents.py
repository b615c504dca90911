"""A part of the book as a document of the W3C's PROV: lots are entities, runs and postings activities.

A lot is the entity that it is once filled, so it is generated once, by what filled it last, and
used only afterwards, as the rules of the ledger have it. Each transfer from a lot to a lot is a
derivation that carries its mass. Agents are the workshop and the roles of people, no person.
What was reversed is left out: it is no history of the material.

A document is written record by record, all of one kind together, so that it may be of any
length. Both spellings say the same records in the same order.

Source: W3C Recommendations PROV-DM, PROV-N and PROV-CONSTRAINTS, 30 April 2013; PROV-JSON is
the W3C Member Submission of 24 April 2013.
"""

import json
from collections.abc import Iterable, Iterator
from datetime import datetime
from itertools import groupby
from typing import NamedTuple, Protocol
from uuid import UUID

from inventory.calculations.epcis_terms import PREFIX, namespace

WORKSHOP = "party:workshop"
DISPOSED = "disposed"
JSON_TYPE, NOTATION_TYPE = "application/provenance+json", "text/provenance-notation"
AT_ONCE = 200  # records
FORMAL = {
    "activity": ("prov:startTime", "prov:endTime"),
    "actedOnBehalfOf": ("prov:delegate", "prov:responsible", "prov:activity"),
    "wasAssociatedWith": ("prov:activity", "prov:agent", "prov:plan"),
    "wasGeneratedBy": ("prov:entity", "prov:activity", "prov:time"),
    "used": ("prov:activity", "prov:entity", "prov:time"),
    "wasDerivedFrom": (
        "prov:generatedEntity",
        "prov:usedEntity",
        "prov:activity",
        "prov:generation",
        "prov:usage",
    ),
    "wasInvalidatedBy": ("prov:entity", "prov:activity", "prov:time"),
}  # what each kind names, in the order of PROV-N; an element has a name of its own instead
ELEMENTS = frozenset({"entity", "activity", "agent"})
ESCAPED = str.maketrans({'"': '\\"', "\\": "\\\\", "\n": "\\n", "\r": "\\r", "\t": "\\t"})


class Thing(NamedTuple):
    """A lot as its name and whether it is one thing: a part."""

    code: str
    is_thing: bool


class Material(NamedTuple):
    """What a lot is made of."""

    lot: Thing
    polymer: str
    mark: str
    colour: str
    form: str
    origin_class: str


class Doing(NamedTuple):
    """A posting, or a run by its number: each of its postings is one too, one after the other."""

    run: str
    uuid: UUID
    at: datetime
    role: str = ""


class Move(NamedTuple):
    """Mass in mg from a lot to a lot, None for the outside, by a posting."""

    by: Doing
    source: Thing | None
    target: Thing | None
    mass_mg: int
    role: str
    melted: bool


class Telling(Protocol):
    """What a document is made of; each is asked for anew, and may be as long as a book."""

    def materials(self) -> Iterable[Material]:
        """Yield each lot once."""

    def doings(self) -> Iterable[Doing]:
        """Yield the postings with their roles, those of a run together."""

    def fillings(self) -> Iterable[Move]:
        """Yield for each lot the transfer that filled it last."""

    def moves(self) -> Iterable[Move]:
        """Yield the transfers out of lots, in the order of the book."""

    def endings(self) -> Iterable[Move]:
        """Yield for each lot that was thrown away to its end the transfer that did it."""


class Name(str):
    """A name with its prefix, as a value."""

    __slots__ = ()


class Record(NamedTuple):
    """One statement: its kind, what it names in the order of FORMAL, and what it says besides."""

    kind: str
    values: tuple[str, ...] = ()
    name: str = ""
    more: dict = {}  # noqa: RUF012 (never changed)


def records_of(telling: Telling) -> Iterator[Record]:
    """Yield the records of a document, all of a kind together."""
    yield from map(_entity, telling.materials())
    yield from _done(telling)
    for move in telling.fillings():
        yield Record("wasGeneratedBy", (_lot(move.target), *_when(move)))
    for move in telling.moves():
        formal = (_doer(move.by), _lot(move.source), _clock(move.by.at))
        yield Record("used", formal, more=_facts(move))
    for move in telling.moves():
        if move.target:
            ends = (_lot(move.target), _lot(move.source))
            yield Record("wasDerivedFrom", ends, more=_facts(move))
    for move in telling.endings():
        yield Record("wasInvalidatedBy", (_lot(move.source), *_when(move)))


def prov_json(telling: Telling, base: str) -> Iterator[str]:
    """Yield a document as PROV-JSON, some records at a time."""
    yield '{\n"prefix": ' + json.dumps(prefixes(base))
    for kind, records in groupby(records_of(telling), key=lambda record: record.kind):
        yield f',\n"{kind}": {{\n'
        lines = (_json_line(record, place) for place, record in enumerate(records, 1))
        yield from _some(lines, ",\n")
        yield "\n}"
    yield "\n}\n"


def prov_notation(telling: Telling, base: str) -> Iterator[str]:
    """Yield a document as PROV-N, some records at a time."""
    yield "document\n"
    for prefix, address in prefixes(base).items():
        yield f"  prefix {prefix} <{address}>\n"
    yield "\n"
    yield from _some((f"  {_statement(record)}\n" for record in records_of(telling)), "")
    yield "endDocument\n"


def prefixes(base: str) -> dict[str, str]:
    """Return the namespaces of a document, all but that of UUIDs under the workshop's base."""
    own = {name: f"{base}/{path}/" for name, path in PATHS.items()}
    return {PREFIX: namespace(base), **own, "posting": "urn:uuid:"}


PATHS = {"lot": "class", "part": "obj", "run": "bt", "party": "party"}


def _some(lines: Iterator[str], between: str) -> Iterator[str]:
    """Yield lines, some joined at a time."""
    held, before = [], ""
    for line in lines:
        held.append(line)
        if len(held) == AT_ONCE:
            yield before + between.join(held)
            held, before = [], between
    if held:
        yield before + between.join(held)


def _lot(thing: Thing) -> str:
    return f"{'part' if thing.is_thing else 'lot'}:{thing.code}"


def _doer(doing: Doing) -> str:
    return f"run:{doing.run}" if doing.run else f"posting:{doing.uuid}"


def _role(role: str) -> str:
    return f"party:role-{role}"


def _clock(moment: datetime) -> str:
    return moment.isoformat()


def _own(**facts) -> dict:
    """Return facts as terms of our own, without those that are empty."""
    return {f"{PREFIX}:{name}": value for name, value in facts.items() if value not in {"", None}}


def _when(move: Move) -> tuple[str, str]:
    return _doer(move.by), _clock(move.by.at)


def _facts(move: Move) -> dict:
    return _own(milligrams=move.mass_mg, role=move.role, melted=move.melted or None)


def _entity(material: Material) -> Record:
    """Tell a lot, with what it is made of."""
    facts = _own(
        polymer=material.polymer,
        mark=material.mark,
        colour=material.colour,
        form=material.form,
        originClass=material.origin_class,
    )
    kind = Name(f"{PREFIX}:{'Part' if material.lot.is_thing else 'Lot'}")
    return Record("entity", name=_lot(material.lot), more={"prov:type": kind} | facts)


def _done(telling: Telling) -> Iterator[Record]:
    """Yield what was done, then by whom, then which of them did what."""
    roles = set()
    for activity, own in _activities(telling):
        roles |= own
        yield activity
    yield from _agents(roles, telling)
    for activity, own in _activities(telling):
        for party in (WORKSHOP, *map(_role, sorted(own))):
            yield Record("wasAssociatedWith", (activity.name, party))


def _activities(telling: Telling) -> Iterator[tuple[Record, set[str]]]:
    """Yield what was done from when to when, and in which roles; a run is one with all its postings."""
    for name, doings in groupby(telling.doings(), key=_doer):
        moments, roles = None, set()
        for doing in doings:
            first, last = moments or (doing.at, doing.at)
            moments = min(first, doing.at), max(last, doing.at)
            roles |= {doing.role} - {""}
        yield Record("activity", tuple(map(_clock, moments)), name), roles


def _agents(roles: set[str], telling: Telling) -> Iterator[Record]:
    """Yield the workshop and the roles, each of which acts for it; in an empty document none."""
    if next(iter(telling.doings()), None) is None:
        return
    yield Record("agent", name=WORKSHOP, more={"prov:type": Name("prov:Organization")})
    for role in sorted(roles):
        facts = {"prov:type": Name("prov:Person"), "prov:label": role}
        yield Record("agent", name=_role(role), more=facts)
    for role in sorted(roles):
        yield Record("actedOnBehalfOf", (_role(role), WORKSHOP))


def _json_line(record: Record, place: int) -> str:
    """Return a record under its name, or under a blank one by its place."""
    name = record.name or f"_:{record.kind}{place}"
    formal = zip(FORMAL.get(record.kind, ()), record.values, strict=False)
    content = dict(formal) | {key: _json_value(value) for key, value in record.more.items()}
    return f"{json.dumps(name)}: {json.dumps(content, ensure_ascii=False)}"


def _json_value(value):
    if isinstance(value, Name):
        return {"$": value, "type": "xsd:QName"}
    if type(value) is int:
        return {"$": str(value), "type": "xsd:long"}  # a lot may be of more than 2^31 mg
    return value


def _statement(record: Record) -> str:
    """Return a record as PROV-N writes it; what is not named is a dash."""
    is_element = record.kind in ELEMENTS
    missing = len(FORMAL.get(record.kind, ())) - len(record.values)
    parts = [record.name] if is_element else []
    parts += [*record.values, *["-"] * missing]
    more = ", ".join(f"{key}={_literal(value)}" for key, value in record.more.items())
    return f"{record.kind}({', '.join([*parts, *([f'[{more}]'] if more else [])])})"


def _literal(value) -> str:
    if isinstance(value, Name):
        return f"'{value}'"
    if isinstance(value, bool):
        return f'"{str(value).lower()}" %% xsd:boolean'
    if isinstance(value, int):
        return f'"{value}" %% xsd:long'
    return f'"{value.translate(ESCAPED)}"'
