"""Documents of the standard EPCIS 2.0 as others send them: bounded, then read without trusting anything.

Reading never fails: what has not the shape that the standard gives it is left out and named by
its place (a JSON pointer, RFC 6901) and the rule that it breaks.
"""

import json
import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from datetime import datetime
from fractions import Fraction
from typing import NamedTuple

from inventory.calculations.epcis_terms import NAMESPACE_TAIL, milligrams

MOST_BYTES = 4 * 1024 * 1024
MOST_DEPTH = 12
MOST_EVENTS = 5_000
MOST_VALUES = 400_000
MOST_FINDINGS = 50
LONGEST_TEXT = 1_000
LARGEST_NUMBER = 1e15
LEAST_MG = 0.001
TYPES = frozenset(
    {
        "ObjectEvent",
        "AggregationEvent",
        "AssociationEvent",
        "TransactionEvent",
        "TransformationEvent",
    }
)
ACTIONS = frozenset({"ADD", "OBSERVE", "DELETE"})
OFFSET = re.compile(r"[+-](?:0\d|1[0-4]):[0-5]\d")
UNFIT = re.compile(r"[\x00-\x08\x0b\x0c\x0e-\x1f\ud800-\udfff]")
CHANGE = "TransformationEvent"


class Finding(NamedTuple):
    """What is wrong: where (a JSON pointer), which rule, and the text or figure it is about."""

    pointer: str
    rule: str
    about: str = ""


class Unreadable(ValueError):  # noqa: N818 (named for what was found)
    """A text that is no JSON, or more of it than is read; `finding` says which."""

    def __init__(self, rule: str, about: str = "", pointer: str = ""):
        self.finding = Finding(pointer, rule, about)
        super().__init__(rule)


class Amount(NamedTuple):
    """A thing or some of a lot that an event names; the mass in mg, None when it is not told."""

    id: str
    mass_mg: Fraction | None
    pointer: str


@dataclass(frozen=True)
class Event:
    """One event as far as it could be read. What is given and taken has its masses."""

    pointer: str
    kind: str
    id: str
    at: datetime | None
    action: str
    given: tuple[Amount, ...]
    taken: tuple[Amount, ...]
    seen: tuple[Amount, ...]
    process: str
    ilmd: dict
    is_melted: bool
    declaration: dict | None
    raw: dict = field(repr=False)


@dataclass(frozen=True)
class Reading:
    """A document as it was read, and what has no shape in it."""

    events: tuple[Event, ...]
    own: dict
    findings: tuple[Finding, ...]


def parsed(text: bytes | str):
    """Return the JSON of a text. Raises Unreadable for what is too long, no JSON or names a key twice.

    >>> parsed('{"a": 0.5}')
    {'a': 0.5}
    """
    if len(text) > MOST_BYTES:
        raise Unreadable("too-long", str(MOST_BYTES // 1024))
    try:
        document = json.loads(text, parse_constant=_no_number, object_pairs_hook=_once)
    except Unreadable:
        raise
    except RecursionError:
        raise Unreadable("too-deep", str(MOST_DEPTH)) from None
    except (ValueError, UnicodeError) as error:
        line = getattr(error, "lineno", "")
        raise Unreadable("no-json", str(line)) from None
    return document


def bounds(document) -> list[Finding]:
    """Return the first thing in a parsed document that is too much to read, or no text or number at all."""
    waiting, values = [("", document, 0)], 0
    while waiting:
        pointer, value, depth = waiting.pop()
        values += 1
        if values > MOST_VALUES:
            return [Finding("", "too-many", str(MOST_VALUES))]
        if rule := _unfit(value, depth):
            return [Finding(pointer[:LONGEST_TEXT], *rule)]
        waiting += [(f"{pointer}/{key}", each, depth + 1) for key, each in _inside(value)]
    return []


def read(document) -> Reading:
    """Return a bounded document as events, in the order of the document."""
    findings = []
    if not isinstance(document, dict) or document.get("type") != "EPCISDocument":
        return Reading((), {}, (Finding("/type", "document-type"),))
    prefixes = own_prefixes(document)
    own = _own(document, prefixes)
    body = document.get("epcisBody")
    rows = body.get("eventList") if isinstance(body, dict) else None
    if not isinstance(rows, list):
        return Reading((), own, (Finding("/epcisBody/eventList", "no-events"),))
    if len(rows) > MOST_EVENTS:
        return Reading((), own, (Finding("/epcisBody/eventList", "too-many", str(MOST_EVENTS)),))
    events = []
    for number, row in enumerate(rows):
        pointer = f"/epcisBody/eventList/{number}"
        if isinstance(row, dict):
            events.append(_event(row, pointer, prefixes, findings))
        else:
            findings.append(Finding(pointer, "shape"))
    return Reading(tuple(events), own, tuple(findings[:MOST_FINDINGS]))


def declared_prefixes(document: dict) -> dict[str, str]:
    """Return the prefixes that a document declares, with what they stand for."""
    context = document.get("@context")
    parts = context if isinstance(context, list) else [context]
    found = {}
    for part in parts:
        if isinstance(part, dict):
            found |= {str(key): value for key, value in part.items() if isinstance(value, str)}
    return found


def own_prefixes(document: dict) -> frozenset[str]:
    """Return the prefixes under which a document writes terms of a workshop such as this."""
    prefixes = declared_prefixes(document)
    return frozenset(key for key, value in prefixes.items() if value.endswith(NAMESPACE_TAIL))


def pointer_part(key: str) -> str:
    """Return a key as a part of a JSON pointer.

    >>> pointer_part("a/b~c")
    'a~1b~0c'
    """
    return key.replace("~", "~0").replace("/", "~1")


def _event(row: dict, pointer: str, prefixes: frozenset, findings: list) -> Event:
    """Return an event; what has no shape is left out and noted."""
    found = _Reader(row, pointer, findings)
    own = _own(row, prefixes)
    masses = _part_masses(own, prefixes, found)
    kind = found.text("type")
    if kind not in TYPES:
        found.note("type", "event-type", kind)
    given, taken, *others = (
        tuple(found.amounts(*names, masses))
        for names in (
            ("inputEPCList", "inputQuantityList"),
            ("outputEPCList", "outputQuantityList"),
            ("epcList", "quantityList"),
            ("childEPCs", "childQuantityList"),
        )
    )
    action = found.text("action") if "action" in row else ""
    if kind != CHANGE and action not in ACTIONS:
        found.note("action", "action", action)
    declaration = row.get("errorDeclaration")
    return Event(
        pointer=pointer,
        kind=kind,
        id=found.text("eventID") if "eventID" in row else "",
        at=found.moment(),
        action=action,
        given=given,
        taken=taken,
        seen=sum(others, ()),
        process=found.text("transformationID") if "transformationID" in row else "",
        ilmd=_own(row.get("ilmd"), prefixes),
        is_melted=own.get("melted") is True,
        declaration=declaration if isinstance(declaration, dict) else None,
        raw=row,
    )


class _Reader:
    """Reads the values of one event and notes what is not what it should be."""

    def __init__(self, row: dict, pointer: str, findings: list):
        self.row, self.pointer, self.findings = row, pointer, findings

    def note(self, key: str, rule: str, about: str = ""):
        self.findings.append(Finding(f"{self.pointer}/{pointer_part(key)}", rule, about[:80]))

    def text(self, key: str) -> str:
        value = self.row.get(key)
        if isinstance(value, str) and value:
            return value
        self.note(key, "shape")
        return ""

    def moment(self) -> datetime | None:
        offset = self.row.get("eventTimeZoneOffset")
        if not isinstance(offset, str) or not OFFSET.fullmatch(offset):
            self.note("eventTimeZoneOffset", "time")
        try:
            moment = datetime.fromisoformat(self.text("eventTime"))
        except ValueError:
            moment = None
        if moment is None or moment.tzinfo is None:
            self.note("eventTime", "time")
            return None
        return moment

    def listed(self, key: str) -> list:
        value = self.row.get(key, [])
        if isinstance(value, list):
            if key in self.row and not value:
                self.note(key, "empty-list")
            return value
        self.note(key, "shape")
        return []

    def amounts(self, things: str, lots: str, masses: dict[str, Fraction]) -> Iterator[Amount]:
        """Yield what two lists of an event name."""
        for number, value in enumerate(self.listed(things)):
            place = f"{things}/{number}"
            if isinstance(value, str) and value:
                yield Amount(value, masses.get(value), f"{self.pointer}/{place}")
            else:
                self.findings.append(Finding(f"{self.pointer}/{place}", "shape"))
        for number, value in enumerate(self.listed(lots)):
            pointer = f"{self.pointer}/{lots}/{number}"
            name = value.get("epcClass") if isinstance(value, dict) else None
            if isinstance(name, str) and name:
                yield Amount(name, mass_of(value), pointer)
            else:
                self.findings.append(Finding(pointer, "shape"))


def mass_of(element: dict) -> Fraction | None:
    """Return the mass of a quantity element in mg, None when it is not told or makes no sense."""
    quantity, unit = element.get("quantity"), element.get("uom")
    if not is_number(quantity) or quantity <= 0 or not isinstance(unit, str):
        return None
    return milligrams(quantity, unit)


def is_number(value) -> bool:
    """Return whether a value of JSON is a number; yes and no are none."""
    return isinstance(value, int | float) and not isinstance(value, bool)


def _part_masses(own: dict, prefixes: frozenset, found: _Reader) -> dict[str, Fraction]:
    """Return the masses that our own term gives to things, by id."""
    rows = own.get("partMass", [])
    masses = {}
    for row in rows if isinstance(rows, list) else ():
        facts = _own(row, prefixes)
        name, mg = facts.get("epc"), facts.get("milligrams")
        if isinstance(name, str) and is_number(mg) and mg >= LEAST_MG:
            masses[name] = Fraction(repr(mg))
        else:
            found.note("partMass", "shape")
    return masses


def own_terms(value, document: dict) -> dict:
    """Return the entries of an object that are terms of a workshop such as this, without their prefix."""
    return _own(value, own_prefixes(document))


def _own(value, prefixes: Iterable[str]) -> dict:
    if not isinstance(value, dict):
        return {}
    parts = ((key.partition(":"), each) for key, each in value.items())
    return {name: each for (prefix, colon, name), each in parts if colon and prefix in prefixes}


def _inside(value) -> Iterable[tuple]:
    if isinstance(value, dict):
        return [(pointer_part(key), each) for key, each in value.items()]
    return enumerate(value) if isinstance(value, list) else ()


def _unfit(value, depth: int) -> tuple | None:
    """Return the rule that a single value breaks."""
    if depth > MOST_DEPTH:
        return "too-deep", str(MOST_DEPTH)
    texts = value if isinstance(value, dict) else [value] if isinstance(value, str) else ()
    if any(len(text) > LONGEST_TEXT for text in texts):
        return "long-text", str(LONGEST_TEXT)
    if any(UNFIT.search(text) for text in texts):
        return ("text",)
    if is_number(value) and not abs(value) <= LARGEST_NUMBER:  # so that NaN is none either
        return ("number",)
    return None


def _no_number(name: str):
    raise Unreadable("no-json", name)


def _once(pairs: list[tuple]) -> dict:
    found = dict(pairs)
    if len(found) < len(pairs):
        raise Unreadable("key-twice")
    return found
