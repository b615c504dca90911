"""Rules that documents of the standard EPCIS 2.0 keep and its JSON schema does not ask for.

The schema was seen to let through: quantities of nothing, a unit without a quantity or one that
does not exist, events without an id or with one twice, empty lists, an error that did not occur yet has
corrections, prefixes and contexts that nobody declared, any version, mass that does not balance, and
ids that nothing made. Each finding names its place as a JSON pointer (RFC 6901).

Sources: GS1, EPCIS 2.0: semantics of the ontology and public discussions of the repository
gs1/EPCIS on error declarations; what the schema lets through was tried on it.
"""

import re
from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator
from fractions import Fraction

from inventory.calculations.epcis_reading import (
    CHANGE,
    LEAST_MG,
    MOST_FINDINGS,
    Amount,
    Event,
    Finding,
    Reading,
    bounds,
    declared_prefixes,
    is_number,
    mass_of,
    pointer_part,
    read,
)
from inventory.calculations.epcis_terms import CONTEXTS, UNITS

VERSION = re.compile(r"2\.0(?:\.\d+)?")
BUILT_IN = frozenset({"urn", "http", "https", "xsd", "rdf", "rdfs", "owl", "epcis", "cbv", "gs1"})
MOST_MG = 10**17  # a hundred thousand tonnes


def lint(document, *, is_excerpt: bool = False) -> list[Finding]:
    """Return what is wrong with a parsed document, in the order of its places.

    An excerpt may name ids that were made before it begins. Never raises.
    """
    return bounds(document) or lint_reading(document, read(document), is_excerpt=is_excerpt)


def lint_reading(document, reading: Reading, *, is_excerpt: bool = False) -> list[Finding]:
    """Return what is wrong with a document that was read already."""
    found = list(reading.findings)
    if isinstance(document, dict):
        found += _frame(document)
    for event in reading.events:
        found += _one(event)
    found += _ids(reading.events)
    found += _balances(standing(reading.events))
    if not is_excerpt:
        found += _makings(reading.events)
    return sorted(dict.fromkeys(found), key=_place)[:MOST_FINDINGS]


def standing(events: Iterable[Event]) -> list[Event]:
    """Return the events that count: neither declared wrong nor declarations."""
    events = list(events)
    wrong = {event.id for event in events if event.declaration is not None}
    return [event for event in events if event.declaration is None and event.id not in wrong]


def _place(finding: Finding) -> list:
    parts = finding.pointer.split("/")
    return [(part.isdecimal(), int(part) if part.isdecimal() else part) for part in parts]


def _frame(document: dict) -> Iterator[Finding]:
    """Yield what is wrong with the document around its events."""
    context = document.get("@context")
    parts = context if isinstance(context, list) else [context]
    if not any(isinstance(part, str) and part in CONTEXTS for part in parts):
        yield Finding("/@context", "context")
    version = document.get("schemaVersion")
    if not isinstance(version, str) or not VERSION.fullmatch(version):
        yield Finding("/schemaVersion", "schema-version", str(version)[:20])
    if not isinstance(document.get("creationDate"), str):
        yield Finding("/creationDate", "time")
    yield from _strange_prefixes(document)


def _strange_prefixes(document: dict) -> Iterator[Finding]:
    """Yield keys whose prefix is not declared, wherever they stand."""
    known = declared_prefixes(document).keys() | BUILT_IN
    waiting = [("", document)]
    while waiting:
        pointer, value = waiting.pop()
        if isinstance(value, dict):
            for key, each in value.items():
                place = f"{pointer}/{pointer_part(key)}"
                prefix, colon, _name = key.partition(":")
                if colon and prefix not in known:
                    yield Finding(place, "prefix", prefix[:40])
                waiting.append((place, each))
        elif isinstance(value, list):
            waiting += [(f"{pointer}/{number}", each) for number, each in enumerate(value)]


def _one(event: Event) -> Iterator[Finding]:
    """Yield what is wrong with an event by itself."""
    if "eventID" not in event.raw:
        yield Finding(event.pointer, "event-id-missing")
    for element, pointer in _elements(event):
        yield from _quantity(element, pointer)
    declared = event.declaration or {}
    if declared.get("reason") == "did_not_occur" and declared.get("correctiveEventIDs"):
        yield Finding(f"{event.pointer}/errorDeclaration/correctiveEventIDs", "corrective-ids")
    if "errorDeclaration" in event.raw and event.declaration is None:
        yield Finding(f"{event.pointer}/errorDeclaration", "shape")


def _elements(event: Event) -> Iterator[tuple[dict, str]]:
    """Yield every quantity element of an event with its place."""
    for key, value in event.raw.items():
        if key.endswith(("QuantityList", "quantityList")) and isinstance(value, list):
            for number, element in enumerate(value):
                if isinstance(element, dict):
                    yield element, f"{event.pointer}/{key}/{number}"


def _quantity(element: dict, pointer: str) -> Iterator[Finding]:
    """Yield what is wrong with how much there is of something."""
    quantity, unit = element.get("quantity"), element.get("uom")
    if unit is not None and (not isinstance(unit, str) or unit not in UNITS):
        yield Finding(f"{pointer}/uom", "unit", str(unit)[:20])
    if quantity is None:
        if unit is not None:
            yield Finding(f"{pointer}/uom", "uom-alone")
        return
    mass_mg = mass_of(element)
    is_mass_odd = mass_mg is not None and not LEAST_MG <= mass_mg <= MOST_MG
    if not is_number(quantity) or quantity <= 0 or is_mass_odd:
        yield Finding(f"{pointer}/quantity", "quantity", str(quantity)[:20])


def _ids(events: tuple[Event, ...]) -> Iterator[Finding]:
    """Yield ids that stand for two events, and declarations that do not mirror their event."""
    first = {}
    for event in events:
        key = (event.id, event.declaration is not None)
        if event.id and key in first:
            yield Finding(f"{event.pointer}/eventID", "event-id-twice", event.id[:80])
        first.setdefault(key, event)
    for (name, is_declared), event in first.items():
        original = first.get((name, False))
        if is_declared and original and _bare(original) != _bare(event):
            yield Finding(f"{event.pointer}/errorDeclaration", "declaration-differs")


def _bare(event: Event) -> dict:
    """Return an event without what a declaration and a repository add to it."""
    added = {"errorDeclaration", "recordTime"}
    return {key: value for key, value in event.raw.items() if key not in added}


def _balances(events: Iterable[Event]) -> Iterator[Finding]:
    """Yield changes that give more or less than they take, as far as masses are told."""
    for steps in processes(events):
        given = [each for event in steps for each in event.given]
        taken = [each for event in steps for each in event.taken]
        if not given or not taken:
            yield Finding(steps[-1].pointer, "one-sided")
        elif all(each.mass_mg is not None for each in [*given, *taken]):
            more = sum(each.mass_mg for each in taken) - sum(each.mass_mg for each in given)
            if more:
                rule = "mass-gained" if more > 0 else "mass-lost"
                yield Finding(steps[-1].pointer, rule, f"{float(abs(more)):.15g}")


def processes(events: Iterable[Event]) -> list[list[Event]]:
    """Return changes, those of one transformation together."""
    groups = defaultdict(list)
    for event in events:
        if event.kind == CHANGE:
            groups[event.process or event.pointer].append(event)
    return list(groups.values())


def _makings(events: tuple[Event, ...]) -> Iterator[Finding]:
    """Yield ids that nothing in the document made, and lots that give more than they took."""
    made = {each.id for event in events for each in made_by(event)}
    counting = standing(events)
    named = [each for event in counting for each in (*event.given, *event.seen)]
    for each in named:
        if each.id not in made:
            yield Finding(each.pointer, "unknown-id", each.id[:120])
    took, gave = _sums(made_by, counting), _sums(gone_by, counting)
    overdrawn = {key for key in gave if _is_more(gave[key], took.get(key))}
    for each in (each for event in counting for each in gone_by(event)):
        if each.id in overdrawn:
            yield Finding(each.pointer, "overdrawn", each.id[:120])


def _is_more(one: Fraction | None, other: Fraction | None) -> bool:
    return one is not None and other is not None and one > other


def made_by(event: Event) -> tuple[Amount, ...]:
    """Return what an event brings into being."""
    is_new = event.kind == "ObjectEvent" and event.action == "ADD"
    return event.taken + (event.seen if is_new else ())


def gone_by(event: Event) -> tuple[Amount, ...]:
    """Return what an event takes away from what there is."""
    is_end = event.kind == "ObjectEvent" and event.action == "DELETE"
    return event.given + (event.seen if is_end else ())


def _sums(side, events: list[Event]) -> dict[str, Fraction | None]:
    """Return the mass of each id on a side in mg, None where some of it is not told."""
    sums, unknown = Counter(), set()
    for event in events:
        for each in side(event):
            if each.mass_mg is None:
                unknown.add(each.id)
            else:
                sums[each.id] += each.mass_mg
    return {**sums} | dict.fromkeys(unknown)
