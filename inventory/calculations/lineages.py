"""What another workshop's document tells of where a lot came from: shares of its beginnings, and melt passes.

Its standing events are a graph as the ledger is one: what a change took is well mixed and went into
all that it gave. A beginning is whatever was commissioned and not made of anything else;
where it names origins of its own (another document was brought in there), its share is split by them.
Nothing in the document moves mass here; only shares are read off it.
"""

from collections import defaultdict
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from fractions import Fraction
from math import lcm

import rfc8785

from inventory.calculations.epcis_lint import made_by, processes, standing
from inventory.calculations.epcis_reading import (
    Amount,
    Event,
    Finding,
    Reading,
    is_number,
    own_terms,
)
from inventory.calculations.exact_shares import exact_shares, near_shares
from inventory.calculations.fingerprints import fingerprint
from inventory.calculations.traces import (
    Cycle,
    Edge,
    Ordered,
    allocate,
    ordered_back,
    pass_distribution,
)

CLASSES = ("post-consumer", "pre-consumer", "virgin", "unknown", "additive")
UNKNOWN = "unknown"
MOST_PASSES = 9
MOST_EXACT = 600
MOST_BEGINNINGS = 2_000
LARGEST_WHOLE = 2**62  # what a column of whole numbers takes, with room
FINE_STEPS = 10**15
LONGEST_SHARE = 60  # letters of a share written as text
SUM_SLACK = Fraction(1, 10**9)
LONGEST_ID, LONGEST_NAME = 300, 120


class NoLineage(ValueError):  # noqa: N818 (named for what was found)
    """The document does not tell where a lot came from; `finding` says what is wrong, and where."""

    def __init__(self, pointer: str, rule: str, about: str = ""):
        self.finding = Finding(pointer, rule, about[:LONGEST_NAME])
        super().__init__(rule)


@dataclass(frozen=True)
class Beginning:
    """Where some of a foreign lot began."""

    id: str
    origin_class: str
    polymer: str
    colour: str
    srgb: str
    source: str


@dataclass(frozen=True)
class Lineage:
    """Where a foreign lot came from. Shares are pairs of whole numbers that sum to exactly 1."""

    lot: str
    mass_mg: Fraction | None
    material: dict[str, str]
    beginnings: dict[Beginning, tuple[int, int]]
    passes: dict[int, tuple[int, int]]
    lots: int

    @property
    def origin_class(self) -> str:
        """The class of all of it, or unknown where it has several: a fallback that claims nothing."""
        classes = {each.origin_class for each in self.beginnings}
        return classes.pop() if len(classes) == 1 else UNKNOWN


class _Graph:
    """Standing events as edges between numbered ids; weights count per target only."""

    def __init__(self):
        self.numbers: dict[str, int] = {}
        self.takings: dict[int, list[tuple[int | None, Fraction | None, bool]]] = {}
        self.makers: dict[int, Event] = {}
        self.pointers: dict[int, str] = {}

    def number(self, name: str) -> int:
        return self.numbers.setdefault(name, len(self.numbers) + 1)

    def make(self, each: Amount, event: Event) -> list:
        """Note what an event makes, and return the list of what went into it."""
        number = self.number(each.id)
        self.makers[number] = event
        self.pointers.setdefault(number, each.pointer)
        return self.takings.setdefault(number, [])


def event_digests(reading: Reading) -> dict[tuple[str, bool], str]:
    """Return the digest of each event by its id, and whether it is a declaration.

    What a repository adds to an event is left out. Raises NoLineage for an event that has no
    id, or a longer one than is kept.
    """
    found = {}
    for event in reading.events:
        if not event.id or len(event.id) > LONGEST_ID:
            raise NoLineage(f"{event.pointer}/eventID", "event-id-missing")
        content = {key: value for key, value in event.raw.items() if key != "recordTime"}
        found[event.id, event.declaration is not None] = fingerprint(rfc8785.dumps(content))
    return found


def content_digest(digests: Mapping[tuple[str, bool], str], lot: str) -> str:
    """Return one digest for what a document says of a lot, whenever and however often it was written."""
    return fingerprint([lot, sorted(digests.values())])


def last_lots(reading: Reading) -> list[str]:
    """Return what can be received: lots that were made and not used up, those first that the document is about."""
    events = standing(reading.events)
    made = dict.fromkeys(each.id for event in events for each in made_by(event))
    given = {each.id for event in events for each in event.given}
    about = reading.own.get("about")
    first = [name for name in about if isinstance(name, str)] if isinstance(about, list) else []
    return [name for name in first if name in made] + [
        name for name in made if name not in given and name not in first
    ]


def lineage_of(reading: Reading, document, lot: str) -> Lineage:
    """Return where a lot of a document came from.

    Raises NoLineage `no-lot` where nothing made it, `ring` where lots give to each other,
    `mass-unknown` where a mixture cannot be told without a mass, `shares` where origins do not
    sum to the whole, `too-many` beyond 2,000 beginnings.
    """
    graph = _graph(reading)
    target = graph.numbers.get(lot)
    if target not in graph.takings:
        raise NoLineage("/epcisBody/eventList", "no-lot", lot)
    behind = _behind(graph, target)
    ordered = _ordered(graph, behind)
    names = {number: name for name, number in graph.numbers.items()}
    starts = {
        pk: _starts(graph.makers[pk], names[pk], document)
        for pk in behind
        if any(source is None for source, *_rest in graph.takings[pk])
    }
    made = graph.makers[target]
    mass = [each.mass_mg for each in made_by(made) if each.id == lot]
    return Lineage(
        lot=lot,
        mass_mg=mass[0] if mass else None,
        material=_texts(made.ilmd, "polymer", "colour", "srgb", "form"),
        beginnings=_shares(target, ordered, starts),
        passes=_passes(target, ordered, starts),
        lots=len(behind),
    )


def _graph(reading: Reading) -> _Graph:
    """Return the standing events of a document as a graph."""
    graph, events = _Graph(), standing(reading.events)
    for event in events:
        if event.kind == "ObjectEvent":
            for each in made_by(event):
                graph.make(each, event).append((None, each.mass_mg, False))
    for steps in processes(events):
        given = [each for event in steps for each in event.given]
        melted = any(event.is_melted for event in steps)
        for maker, each in ((step, each) for step in steps for each in step.taken):
            weights = _weights(given, each.mass_mg)
            graph.make(each, maker).extend((graph.number(n), w, melted) for n, w in weights)
    return graph


def _weights(given: list, taken_mg: Fraction | None) -> Iterator[tuple[str, Fraction | None]]:
    """Yield what each input gave to one output: the same share of each, since any may be in it."""
    if len(given) == 1:
        yield given[0].id, taken_mg
        return
    is_known = all(each.mass_mg is not None for each in given)
    whole = sum(each.mass_mg for each in given) if is_known else None
    for each in given:
        yield each.id, (taken_mg or 1) * each.mass_mg / whole if whole else None


def _behind(graph: _Graph, target: int) -> list[int]:
    """Return the lots behind one, itself first."""
    found = {target: None}
    for lot in (waiting := [target]):
        for source, *_rest in graph.takings.get(lot, ()):
            if source is not None and source not in found:
                found[source] = None
                waiting.append(source)
    return list(found)


def _ordered(graph: _Graph, behind: list[int]) -> Ordered:
    """Return the edges behind a lot in the order of the sweep, with whole numbers for masses."""
    edges = []
    for lot in behind:
        taken = graph.takings.get(lot)
        if taken is None:
            raise NoLineage(_pointer(graph, lot), "unknown-id", _name(graph, lot))
        weights = [weight for _source, weight, _melted in taken]
        if len(taken) == 1:
            weights = [Fraction(1)]
        if None in weights:
            raise NoLineage(graph.pointers[lot], "mass-unknown", _name(graph, lot))
        common = lcm(*(weight.denominator for weight in map(Fraction, weights)))
        for (source, _weight, melted), weight in zip(taken, weights, strict=True):
            edges.append(Edge(source, lot, int(weight * common), melted))
    try:
        return ordered_back(edges)
    except Cycle as cycle:
        lot = cycle.lots[0]
        raise NoLineage(graph.pointers[lot], "ring", _name(graph, lot)) from None


def _name(graph: _Graph, lot: int) -> str:
    return next(name for name, number in graph.numbers.items() if number == lot)


def _pointer(graph: _Graph, lot: int) -> str:
    return graph.pointers.get(lot, "/epcisBody/eventList")


@dataclass(frozen=True)
class _Start:
    """What a beginning is made of, and how often it was melted before."""

    parts: dict[Beginning, Fraction]
    passes: dict[int, Fraction]


def _starts(event: Event, name: str, document) -> _Start:
    """Return a beginning as the event that commissioned it describes it."""
    facts = event.ilmd
    rows = facts.get("origins")
    if rows is None:
        parts = {_beginning(name, facts): Fraction(1)}
    else:
        parts = defaultdict(Fraction)
        for row in rows if isinstance(rows, list) else ():
            own = own_terms(row, document)
            lot = own.get("lot")
            parts[_beginning(lot if isinstance(lot, str) else name, own)] += _share(own, event)
    counts = defaultdict(Fraction)
    rows = facts.get("passes")
    for row in rows if isinstance(rows, list) else ():
        own = own_terms(row, document)
        count = own.get("count")
        if not isinstance(count, int) or isinstance(count, bool) or count < 0:
            raise NoLineage(f"{event.pointer}/ilmd", "shares")
        counts[min(count, MOST_PASSES)] += _share(own, event)
    return _Start(_whole(parts, event), _whole(counts or {0: Fraction(1)}, event))


def _beginning(name: str, facts: dict) -> Beginning:
    said = facts.get("originClass")
    texts = _texts(facts, "polymer", "colour", "srgb", "source")
    return Beginning(
        id=name[:LONGEST_ID], origin_class=said if said in CLASSES else UNKNOWN, **texts
    )


def _texts(facts: dict, *names: str) -> dict[str, str]:
    """Return some facts as texts, empty where they are none."""
    return {
        name: value[:LONGEST_NAME] if isinstance(value := facts.get(name), str) else ""
        for name in names
    }


def _share(own: dict, event: Event) -> Fraction:
    """Return a share, written as a fraction "n/d" or a number."""
    said = own.get("share")
    if isinstance(said, str) and (len(said) > LONGEST_SHARE or "e" in said.lower()):
        raise NoLineage(f"{event.pointer}/ilmd", "shares")  # 1e999999999 would be written out
    try:
        share = Fraction(repr(said) if is_number(said) else str(said))
    except (TypeError, ValueError, ZeroDivisionError):
        raise NoLineage(f"{event.pointer}/ilmd", "shares") from None
    if not 0 < share <= 1 or share.denominator > LARGEST_WHOLE:
        raise NoLineage(f"{event.pointer}/ilmd", "shares")
    return share


def _whole(parts: Mapping, event: Event) -> dict:
    """Return shares that sum to exactly 1; those that do not nearly do are refused."""
    total = sum(parts.values())
    if abs(total - 1) > SUM_SLACK:
        raise NoLineage(f"{event.pointer}/ilmd", "shares")
    return {key: share / total for key, share in parts.items()}


def _shares(target: int, ordered: Ordered, starts: dict[int, _Start]) -> dict:
    """Return the share of each beginning in the target."""
    is_exact = len(ordered.lots) <= MOST_EXACT
    swept = (exact_shares if is_exact else near_shares)(target, ordered)
    sums = defaultdict(Fraction)
    for pk, share in swept.items():
        for beginning, part in starts[pk].parts.items():
            sums[beginning] += share * part
    if len(sums) > MOST_BEGINNINGS:
        raise NoLineage("/epcisBody/eventList", "too-many", str(MOST_BEGINNINGS))
    ranked = sorted(sums, key=lambda each: (-sums[each], str(each)))
    return storable({each: sums[each] for each in ranked}, is_exact=is_exact)


def _passes(target: int, ordered: Ordered, starts: dict[int, _Start]) -> dict:
    """Return the share of the target by how often it was melted before it came."""
    before = {pk: {n: float(p) for n, p in each.passes.items()} for pk, each in starts.items()}
    found = pass_distribution(target, ordered, before, most=MOST_PASSES)
    return storable({n: Fraction(share) for n, share in found.items()}, is_exact=False)


def storable(shares: Mapping, *, is_exact: bool) -> dict:
    """Return shares as (numerator, denominator) that sum to exactly 1: as they are, or in steps of 10^-15.

    >>> storable({"a": Fraction(1, 3), "b": Fraction(2, 3)}, is_exact=True)
    {'a': (1, 3), 'b': (2, 3)}
    """
    if is_exact and all(share.denominator <= LARGEST_WHOLE for share in shares.values()):
        return {key: share.as_integer_ratio() for key, share in shares.items()}
    steps = allocate(FINE_STEPS, {key: float(share) for key, share in shares.items()})
    return {key: (part, FINE_STEPS) for key, part in steps.items() if part}
