"""Events of the standard EPCIS 2.0 that tell what a posting moved.

A posting is told whole, whichever document it stands in, so that an event has the same content
under its id everywhere. What gave to what stays exact without a word of our own: one event has
either one input or one output. Mass from outside is commissioned, mass that leaves is
destroyed or adjusted, and a reversed posting is repeated with its error declaration.

A part of a product is associated with it while it is in it.

Masses of parts stand in `ws:partMass`, since an event's list of things has none.
"""

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from uuid import NAMESPACE_URL, UUID, uuid5

from inventory.calculations.epcis_terms import (
    CONTEXT,
    PREFIX,
    SCHEMA_VERSION,
    kilograms,
    lot_id,
    namespace,
    paper_id,
    party_id,
    place_id,
    thing_id,
)

SHOP = "workshop"
WEIGHED = "weighed"
DESTROYED = frozenset({"disposed", "loss"})
MINUTES_IN_HOUR = 60
GIVEN = ("inputEPCList", "inputQuantityList")
MADE = ("outputEPCList", "outputQuantityList")
SEEN = ("epcList", "quantityList", "childEPCs", "childQuantityList")


@dataclass(frozen=True)
class Stuff:
    """A lot as others are told of it; `bin` is the code of where it stands."""

    code: str
    is_thing: bool
    polymer: str
    mark: str
    colour: str
    srgb: str
    form: str
    bin: str = ""
    origin_class: str = ""
    party: str = ""
    source: str = ""
    supplier_lot: str = ""
    origins: tuple[dict, ...] = field(default=(), compare=False)
    passes: tuple[dict, ...] = field(default=(), compare=False)


@dataclass(frozen=True)
class Flow:
    """Mass in mg from a lot to a lot, None for the outside."""

    source: Stuff | None
    target: Stuff | None
    mass_mg: int
    role: str
    melted: bool = False
    scale: str = ""


@dataclass(frozen=True)
class Told:
    """A posting to be told: its flows, the run it is of, the role of who did it, and what undid it.

    `undone_at` is when it was reversed; `instead` are the postings that replaced it.
    """

    uuid: UUID
    happened_at: datetime
    run: str
    role: str
    flows: tuple[Flow, ...]
    undone_at: datetime | None = None
    instead: tuple["Told", ...] = ()


@dataclass(frozen=True)
class Joined:
    """A thing put into another, or taken out of it, both by code; no mass moves.

    Both have the `number` of the joint.
    """

    number: int
    at: datetime
    holder: str
    part: str
    is_out: bool = False


def head_of(base: str, made_at: datetime, facts: dict) -> dict:
    """Return a document without its events; `facts` are our own terms that say what it tells of."""
    return {
        "@context": [CONTEXT, {PREFIX: namespace(base)}],
        "type": "EPCISDocument",
        "schemaVersion": SCHEMA_VERSION,
        "creationDate": made_at.isoformat(timespec="seconds"),
        **{f"{PREFIX}:{name}": value for name, value in facts.items()},
        "epcisBody": {"eventList": []},
    }


def events_of(told: Told, base: str) -> list[dict]:
    """Return the events of a posting, and each again with its declaration where it was undone."""
    events = list(_identified(told, base))
    if told.undone_at is None:
        return events
    ids = [each["eventID"] for other in told.instead for each in _identified(other, base)]
    declaration = {
        "declarationTime": told.undone_at.isoformat(timespec="seconds"),
        "reason": "incorrect_data" if ids else "did_not_occur",
    } | ({"correctiveEventIDs": ids} if ids else {})
    return [*events, *({**each, "errorDeclaration": declaration} for each in events)]


def joining_of(joined: Joined, base: str) -> dict:
    """Return the event that a thing is part of another from then on, or no longer.

    CBV 2.0: what stays recognisable in a product is associated with it (`assembling`), and
    becomes nothing else; aggregation is for what is merely in a container.
    """
    action, child = "DELETE" if joined.is_out else "ADD", thing_id(base, joined.part)
    key = uuid5(NAMESPACE_URL, f"{child} {action} {joined.number}")
    return {
        "type": "AssociationEvent",
        "eventID": f"urn:uuid:{key}",
        "eventTime": joined.at.isoformat(timespec="milliseconds"),
        "eventTimeZoneOffset": _offset(joined.at),
        "action": action,
        "bizStep": "disassembling" if joined.is_out else "assembling",
        "readPoint": {"id": place_id(base, SHOP)},
        "parentID": thing_id(base, joined.holder),
        "childEPCs": [child],
    }


def ids_in(event: dict, names: tuple[str, ...]) -> Iterator[str]:
    """Yield the ids in some lists of an event."""
    for name in names:
        for each in event.get(name, ()):
            yield each if isinstance(each, str) else each["epcClass"]


def _identified(told: Told, base: str) -> Iterator[dict]:
    """Yield events with their ids: the first has the posting's own, the others follow from it."""
    for number, event in enumerate(_events(told, base)):
        key = uuid5(told.uuid, f"event {number}") if number else told.uuid
        yield {
            "type": event.pop("type"),
            "eventID": f"urn:uuid:{key}",
            "eventTime": told.happened_at.isoformat(timespec="milliseconds"),
            "eventTimeZoneOffset": _offset(told.happened_at),
            **event,
        }


def _events(told: Told, base: str) -> Iterator[dict]:
    here = {"readPoint": {"id": place_id(base, SHOP)}}
    rests = here | {"bizLocation": {"id": place_id(base, SHOP)}}
    run = [{"type": "prodorder", "bizTransaction": paper_id(base, told.run)}] if told.run else []
    papers = {"bizTransactionList": run} if run else {}
    came = [flow for flow in told.flows if flow.source is None]
    moved = [flow for flow in told.flows if flow.source and flow.target]
    gone = [flow for flow in told.flows if flow.target is None]
    for flow in came:
        yield from _coming(flow, base, rests)
    for flows in _apart(moved):
        yield _made(flows, base, rests | papers)
    for flow in moved:
        if flow.target.bin:
            yield _packed(flow, base, rests)
    for flow in gone:
        yield _leaving(flow, base, here | papers)


def _coming(flow: Flow, base: str, where: dict) -> Iterator[dict]:
    """Yield the first sight of a lot, and for a delivery its receipt."""
    received = flow.role == "received"
    what, lot = _listed([(flow.target, flow.mass_mg)], base), flow.target
    step = "commissioning" if received else f"{namespace(base)}adjusting"
    yield {
        "type": "ObjectEvent",
        "action": "ADD",
        "bizStep": step,
        "disposition": "active",
        **where,
        **what,
        "ilmd": _material(lot) | _origin(lot),
    }
    if received:
        parties = {
            f"{end}List": [{"type": "owning_party", end: party_id(base, name)}]
            for end, name in (("source", lot.party), ("destination", SHOP))
        }
        event = {"type": "ObjectEvent", "action": "OBSERVE", "bizStep": "receiving"}
        yield event | where | what | parties | _weighing(flow, base)


def _made(flows: list[Flow], base: str, where: dict) -> dict:
    """Return the change of some lots into others."""
    given, taken = defaultdict(int), defaultdict(int)
    for flow in flows:
        given[flow.source] += flow.mass_mg
        taken[flow.target] += flow.mass_mg
    own = {f"{PREFIX}:role": sorted({flow.role for flow in flows})}
    own |= {f"{PREFIX}:melted": True} if flows[0].melted else {}
    masses = _part_masses([*given.items(), *taken.items()], base)
    return {
        "type": "TransformationEvent",
        "bizStep": "commissioning",
        **where,
        **_lists(given.items(), base, "input"),
        **_lists(taken.items(), base, "output"),
        "ilmd": _material(flows[0].target),
        **own,
        **masses,
    }


def _packed(flow: Flow, base: str, where: dict) -> dict:
    """Return that a lot is in a bin."""
    return {
        "type": "AggregationEvent",
        "action": "ADD",
        "bizStep": "packing",
        **where,
        "parentID": thing_id(base, flow.target.bin),
        **_lists([(flow.target, flow.mass_mg)], base, "child"),
    }


def _leaving(flow: Flow, base: str, where: dict) -> dict:
    """Return that mass left the workshop, or was found missing."""
    ends = flow.role in DESTROYED
    step = "destroying" if ends else f"{namespace(base)}adjusting"
    whole = ends or not flow.source.is_thing  # a part that lost some of its mass is still there
    return {
        "type": "ObjectEvent",
        "action": "DELETE" if whole else "OBSERVE",
        "bizStep": step,
        **({"disposition": "destroyed"} if ends else {}),
        **where,
        **_listed([(flow.source, flow.mass_mg)], base),
        f"{PREFIX}:role": [flow.role],
    }


def _apart(flows: list[Flow]) -> list[list[Flow]]:
    """Return flows in groups of one source or one target, of one material and melted alike."""
    sources = defaultdict(set)
    for flow in flows:
        sources[flow.target.code].add(flow.source.code)
    groups = defaultdict(list)
    for flow in flows:
        alone = len(sources[flow.target.code]) == 1
        end = ("from", flow.source.code) if alone else ("into", flow.target.code)
        groups[(*end, flow.melted, tuple(_material(flow.target).items()))].append(flow)
    return list(groups.values())


def _listed(masses, base: str) -> dict:
    """Return lots of an ObjectEvent: parts by their id, all else by quantity."""
    things = [stuff for stuff, _mg in masses if stuff.is_thing]
    lots = [_quantity(stuff, mg, base) for stuff, mg in masses if not stuff.is_thing]
    found = {"epcList": [thing_id(base, stuff.code) for stuff in things]} if things else {}
    found |= {"quantityList": lots} if lots else {}
    return found | _part_masses(masses, base)


def _lists(masses, base: str, side: str) -> dict:
    """Return lots of one side of a change, or in a bin."""
    ids = "EPCs" if side == "child" else "EPCList"
    things = [thing_id(base, stuff.code) for stuff, _mg in masses if stuff.is_thing]
    lots = [_quantity(stuff, mg, base) for stuff, mg in masses if not stuff.is_thing]
    found = {f"{side}{ids}": things} if things else {}
    return found | ({f"{side}QuantityList": lots} if lots else {})


def _quantity(stuff: Stuff, mass_mg: int, base: str) -> dict:
    return {"epcClass": lot_id(base, stuff.code), "quantity": kilograms(mass_mg), "uom": "KGM"}


def _part_masses(masses, base: str) -> dict:
    rows = [
        {f"{PREFIX}:epc": thing_id(base, stuff.code), f"{PREFIX}:milligrams": mg}
        for stuff, mg in masses
        if stuff.is_thing
    ]
    return {f"{PREFIX}:partMass": rows} if rows else {}


def _material(stuff: Stuff) -> dict:
    """Return what a lot is made of as master data of the event that made it."""
    facts = {name: getattr(stuff, name) for name in ("polymer", "mark", "colour", "srgb", "form")}
    return {f"{PREFIX}:{name}": value for name, value in facts.items() if value}


def _origin(stuff: Stuff) -> dict:
    """Return where a lot from outside came from, with the shares that a lineage brought."""
    facts = {
        "originClass": stuff.origin_class,
        "source": stuff.source,
        "supplierLot": stuff.supplier_lot,
        "origins": [_prefixed(row) for row in stuff.origins],
        "passes": [_prefixed(row) for row in stuff.passes],
    }
    return {f"{PREFIX}:{name}": value for name, value in facts.items() if value}


def _prefixed(row: dict) -> dict:
    return {f"{PREFIX}:{name}": value for name, value in row.items() if value != ""}


def _weighing(flow: Flow, base: str) -> dict:
    """Return what the scale showed, where one was named."""
    if not flow.scale:
        return {}
    report = {"type": "Mass", "value": kilograms(flow.mass_mg), "uom": "KGM"}
    made = {"deviceID": thing_id(base, flow.scale)}
    return {"sensorElementList": [{"sensorMetadata": made, "sensorReport": [report]}]}


def _offset(moment: datetime) -> str:
    """Return the offset from UTC as +hh:mm; the standard refuses Z."""
    offset = moment.utcoffset() or timedelta()
    minutes = round(offset.total_seconds() / MINUTES_IN_HOUR)
    hours, rest = divmod(abs(minutes), MINUTES_IN_HOUR)
    return f"{'-' if minutes < 0 else '+'}{hours:02d}:{rest:02d}"
