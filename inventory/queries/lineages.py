"""What a document from another workshop would bring, and in words what is wrong with it."""

import json
from dataclasses import dataclass, replace

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from inventory.calculations.codes import normalise_code
from inventory.calculations.epcis_lint import lint_reading
from inventory.calculations.epcis_reading import Finding, Reading, Unreadable, bounds, parsed, read
from inventory.calculations.lineages import (
    Lineage,
    NoLineage,
    content_digest,
    event_digests,
    last_lots,
    lineage_of,
)
from inventory.calculations.traces import make_up
from inventory.models import Delivery, ForeignEvent, Lot, OriginClass, Polymer
from inventory.models import Lineage as Kept
from inventory.queries.materials import polymer_named
from inventory.queries.traces import (
    Segment,
    passes_in_words,
    passes_label,
    strip,
    strip_colours,
)

LONGEST_WORKSHOP = 120
BORNE = frozenset({"mass-lost"})  # a loss that was not told changes no share
AT_ONCE = 500
UNNAMED = "?"
WORDS = {
    "too-long": gettext_lazy("The file is larger than %(about)s kB; ask for the trace of one lot."),
    "no-json": gettext_lazy("This is no JSON; choose the file as it was exported."),
    "key-twice": gettext_lazy("One object names a key twice, so it is not clear what it says."),
    "too-deep": gettext_lazy("It is nested deeper than %(about)s levels."),
    "too-many": gettext_lazy("It holds more than %(about)s of these."),
    "long-text": gettext_lazy("A text here is longer than %(about)s letters."),
    "text": gettext_lazy("A text here holds letters that cannot be kept."),
    "number": gettext_lazy("This number is none that can be reckoned with."),
    "document-type": gettext_lazy("This is no EPCIS document."),
    "no-events": gettext_lazy("The document has no list of events."),
    "shape": gettext_lazy("This has not the shape that EPCIS 2.0 gives it."),
    "event-type": gettext_lazy("EPCIS 2.0 knows no event of the type %(about)s."),
    "action": gettext_lazy("An action is ADD, OBSERVE or DELETE, not “%(about)s”."),
    "time": gettext_lazy("A time with its zone is missing here, or is none."),
    "empty-list": gettext_lazy("This list is empty."),
    "context": gettext_lazy("The context of EPCIS 2.0 is not named."),
    "schema-version": gettext_lazy("Version 2.0 is read here, not “%(about)s”."),
    "prefix": gettext_lazy("The prefix “%(about)s” is not declared in the context."),
    "quantity": gettext_lazy("“%(about)s” is no quantity of something."),
    "uom-alone": gettext_lazy("There is a unit but no quantity."),
    "unit": gettext_lazy("“%(about)s” is no unit of UN/CEFACT Recommendation 20 that is known here."),
    "event-id-missing": gettext_lazy("The event has no id of 1 to 300 letters."),
    "event-id-twice": gettext_lazy("Two events have the id %(about)s."),
    "corrective-ids": gettext_lazy("What did not occur cannot have been corrected by another event."),
    "declaration-differs": gettext_lazy("The declaration does not repeat the event that it declares wrong."),
    "one-sided": gettext_lazy("A change names what went in or what came out, but not both."),
    "mass-gained": gettext_lazy("More comes out of this change than went in, by %(about)s mg."),
    "mass-lost": gettext_lazy("Less comes out of this change than went in, by %(about)s mg."),
    "unknown-id": gettext_lazy("Nothing in the document made %(about)s."),
    "overdrawn": gettext_lazy("%(about)s gave more than it took."),
    "no-lot": gettext_lazy("The document does not tell how %(about)s was made."),
    "ring": gettext_lazy("%(about)s would be made of itself."),
    "mass-unknown": gettext_lazy("What is in %(about)s cannot be told: masses that went in are missing."),
    "shares": gettext_lazy("The shares told here do not sum to the whole."),
    "own-lot": gettext_lazy(
        "%(about)s is a lot of this workshop's own book; it is here already. Move it, or take the part back."
    ),
    "polymer": gettext_lazy("The polymer “%(about)s” is not known in this workshop."),
    "content-changed": gettext_lazy("The event %(about)s was told with other content before."),
}  # fmt: skip


@dataclass(frozen=True)
class Fault:
    """A place in a document (a JSON pointer; empty for all of it), the rule that it breaks, and that in words."""

    pointer: str
    rule: str
    sentence: str


@dataclass(frozen=True)
class Brought:
    """What a document would bring: of which lot, where that came from, and what is wrong."""

    document: dict | None
    faults: list[Fault]
    choices: list[str]
    workshop: str = ""
    lineage: Lineage | None = None
    events: dict[tuple[str, bool], str] | None = None
    digest: str = ""
    polymers: dict[str, Polymer | None] | None = None
    earlier: Delivery | None = None


def brought_by(text: bytes | str, lot: str = "") -> Brought:
    """Return what the text of a document would bring; see `brought_of`."""
    try:
        return brought_of(parsed(text), lot)
    except Unreadable as error:
        return Brought(None, said([error.finding]), [])


def brought_of(document, lot: str = "") -> Brought:
    """Return what a parsed document would bring of a lot, or without one of the first that it can bring."""
    if findings := bounds(document):
        return Brought(None, said(findings), [])
    reading = read(document)
    if fatal := [each for each in lint_reading(document, reading) if each.rule not in BORNE]:
        return Brought(document, said(fatal), [])
    choices = last_lots(reading)
    try:
        return of_lot(document, reading, lot or (choices[0] if choices else ""), choices)
    except NoLineage as error:
        return Brought(document, said([error.finding]), choices)


def of_lot(document: dict, reading: Reading, lot: str, choices: list[str]) -> Brought:
    """Return what a sound document would bring of one lot. Raises NoLineage."""
    lineage, events = lineage_of(reading, document, lot), event_digests(reading)
    polymers = {each.polymer: polymer_named(each.polymer) for each in lineage.beginnings}
    strange = [name for name, polymer in polymers.items() if name and polymer is None]
    findings = [Finding("/epcisBody/eventList", "polymer", name) for name in strange]
    findings += told_otherwise(reading, events)
    if is_own(lot):
        findings.append(Finding("/epcisBody/eventList", "own-lot", lot))
    workshop = reading.own.get("workshop")
    return Brought(
        document=document,
        faults=said(findings),
        choices=choices,
        workshop=workshop[:LONGEST_WORKSHOP] if isinstance(workshop, str) else "",
        lineage=lineage,
        events=events,
        digest=content_digest(events, lot),
        polymers=polymers,
        earlier=received_before(lot),
    )


def told_otherwise(reading: Reading, events: dict[tuple[str, bool], str]) -> list[Finding]:
    """Return the events whose id stood for another content in an earlier document."""
    known, ids = {}, sorted({name for name, _declared in events})
    for start in range(0, len(ids), AT_ONCE):
        rows = ForeignEvent.objects.filter(event_id__in=ids[start : start + AT_ONCE])
        for name, declared, digest in rows.values_list("event_id", "is_declaration", "digest"):
            known[name, declared] = digest
    pointers = {(e.id, e.declaration is not None): e.pointer for e in reading.events}
    return [
        Finding(pointers[key], "content-changed", key[0])
        for key, digest in events.items()
        if known.get(key, digest) != digest
    ]


def is_own(lot: str) -> bool:
    """Return whether the id of a foreign lot ends in the code of a lot that stands in this book.

    Codes are drawn at random (60 bits), so whatever the address before it, it is that lot.
    """
    code = normalise_code(short_id(lot))
    return bool(code) and Lot.objects.filter(code=code, in_mg__gt=0).exists()


def received_before(lot: str) -> Delivery | None:
    """Return the delivery as which a foreign lot was received, if it stands."""
    rows = Kept.objects.filter(foreign_id=lot, lot__in_mg__gt=0)
    kept = rows.select_related("lot__delivery").defer("document").first()
    return kept.lot.delivery if kept else None


def said(findings: list[Finding]) -> list[Fault]:
    """Return findings in words."""
    return [
        Fault(pointer, rule, WORDS[rule] % {"about": about}) for pointer, rule, about in findings
    ]


@dataclass(frozen=True)
class Strips:
    """What a document tells of a lot, cut three ways; masses in mg."""

    by_origin: list[Segment]
    by_colour: list[Segment]
    by_passes: list[Segment]


def strips_of(lineage: Lineage, total_mg: int) -> Strips:
    """Return the make-up that a document tells of a lot, for a look before it is received."""
    shares = {each: n / d for each, (n, d) in lineage.beginnings.items()}
    colours = {each.colour or UNNAMED: each.srgb for each in shares}

    def cut(name_of):
        portions = make_up(shares, {each: name_of(each) for each in shares})
        return strip(total_mg, {portion.key: portion.share for portion in portions})

    passes = {passes_label(count): n / d for count, (n, d) in lineage.passes.items()}
    return Strips(
        by_origin=cut(lambda each: str(class_name(each.origin_class))),
        by_colour=strip_colours(cut(lambda each: each.colour or UNNAMED), colours),
        by_passes=[
            replace(each, label=passes_in_words(each.label)) for each in strip(total_mg, passes)
        ],
    )


def lineage_kept(lot: Lot) -> Kept | None:
    """Return what a document told of a lot, with its origins at hand, but without the document."""
    if lot.kind != Lot.Kind.DELIVERY:
        return None
    found = Kept.objects.filter(lot=lot).defer("document")
    return found.prefetch_related("origins__polymer", "passes").first()


def class_name(origin_class: str):
    """Return an origin class in words."""
    return OriginClass(origin_class).label


def kept_text(document: dict) -> str:
    """Return a document as it is kept."""
    return json.dumps(document, ensure_ascii=False, separators=(",", ":"))


def short_id(name: str) -> str:
    """Return the last part of an id, which is what people call a lot.

    >>> short_id("https://a.example/class/F42")
    'F42'
    """
    return name.rstrip("/").rpartition("/")[2].rpartition(":")[2] or name


def faults_told(faults: list[Fault]) -> str:
    """Return the first faults in one sentence, with their places."""
    first = "; ".join(
        f"{each.pointer}: {each.sentence}" if each.pointer else each.sentence for each in faults[:3]
    )
    return _("This document cannot be brought in. %(faults)s") % {"faults": first}
