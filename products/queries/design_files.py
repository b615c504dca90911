"""Questions about files of designs: what a design says as a file, and what a file would bring."""

import json
from collections.abc import Callable
from dataclasses import dataclass

from django.conf import settings
from django.urls import reverse

from inventory.models import Polymer
from inventory.queries.materials import polymer_named
from products.calculations.cut_plans import mm
from products.calculations.design_files import (
    FORMAT,
    MOST_BYTES,
    MOST_FAULTS,
    NO_JSON,
    OTHER_POLYMER,
    REJECTED_POLYMER,
    TEXTS,
    TOO_DEEP,
    TOO_LARGE,
    UNKNOWN_DESIGN,
    UNKNOWN_POLYMER,
    faults_in,
)
from products.calculations.file_schemas import FileFault
from products.calculations.foreign_sheets import misplaced_in
from products.calculations.sheet_sizes import Size
from products.models import Design
from products.queries.sentences import said

PLAIN = ("name", "form", "made_by", "tracked", "nominal_mass_mg", "pieces_per_cycle")
FLAGS = ("is_packaging", "is_coated", "has_inserts")


@dataclass(frozen=True)
class Told:
    """A fault as people read it: a JSON pointer and a sentence."""

    pointer: str
    sentence: str


@dataclass(frozen=True)
class DesignFile:
    """A file as it was read, with what is wrong in it; good for nothing while it has faults."""

    document: dict
    faults: list[Told]


_sheet_tellers: list[Callable[[Design], list[dict]]] = []


def tell_sheets_by(teller: Callable[[Design], list[dict]]) -> None:
    """Take the function that knows the process sheets of a design, as a file has them.

    The app that has runs and machines calls this once when it starts.
    """
    _sheet_tellers.append(teller)


def file_of(design: Design) -> dict:
    """Return a design as the document of its file; its photo and its history stay here."""
    limit, thickness = design.pass_limit, design.thickness_mm
    return {
        "format": FORMAT,
        "schema": f"{settings.SITE_URL}{reverse('products:design-schema')}",
        **{name: getattr(design, name) for name in (*PLAIN, *FLAGS, "surface_mm2", "uses")},
        "polymers": sorted(polymer.symbol for polymer in design.polymers.all()),
        "thickness_mm": None if thickness is None else str(thickness),
        "size_mm": size_written(design.size),
        **{name: getattr(design, name) for name in (*TEXTS, "note")},
        "pass_limit": vars(limit) if limit else None,
        "route": design.route,
        "windows": [
            {"quantity": each.quantity, "low": written(each.low), "high": written(each.high)}
            for each in design.windows.all()
        ],
        "items": [
            {
                "count": item.count,
                "design": item.component.name if item.component else None,
                "bought": item.bought,
                "bought_name": item.bought_name,
            }
            for item in design.items.all()
        ],
        "joints": [
            {
                "kind": joint.kind,
                "first_line": joint.first_line,
                "second_line": joint.second_line,
                "tool": joint.tool,
                "minutes": str(joint.minutes),
            }
            for joint in design.joints.all()
        ],
        "process_sheets": [sheet for told_by in _sheet_tellers for sheet in told_by(design)],
    }


def size_written(size: Size | None) -> dict[str, str] | None:
    """Return the usual size of a sheet as a file has it."""
    if size is None:
        return None
    sides = {"length": size.length_um, "width": size.width_um}
    return {name: mm(um) for name, um in sides.items()}


def written(value) -> str | None:
    """Return a decimal number as a file has it."""
    return None if value is None else str(value)


def read_file(text: bytes | str) -> DesignFile:
    """Return a file as it was read, with the places of what is wrong in it."""
    octets = text.encode(errors="replace") if isinstance(text, str) else text
    if len(octets) > MOST_BYTES:
        return refused_file(FileFault("", TOO_LARGE))
    try:
        document = json.loads(octets.decode(), object_pairs_hook=once, parse_constant=no_number)
    except RecursionError:
        return refused_file(FileFault("", TOO_DEEP))
    except ValueError:
        return refused_file(FileFault("", NO_JSON))
    return judged(document)


def judged(document) -> DesignFile:
    """Return a parsed document with what breaks the schema, or what this workshop does not know."""
    faults = faults_in(document) or unknown_in(document)
    return DesignFile(document, told(faults)) if faults else DesignFile(document, [])


def refused_file(fault: FileFault) -> DesignFile:
    """Return a file that could not be read at all."""
    return DesignFile({}, told([fault]))


def told(faults: list[FileFault]) -> list[Told]:
    """Return faults in the reader's language; the whole file has the pointer /."""
    return [Told(fault.pointer or "/", said(fault.sentence)) for fault in faults]


def once(pairs: list[tuple]) -> dict:
    """Return an object of JSON; raises ValueError when a name stands in it twice."""
    found = dict(pairs)
    if len(found) < len(pairs):
        raise ValueError("twice")
    return found


def no_number(name: str):
    """Raise ValueError for what is no number in JSON, such as NaN."""
    raise ValueError(name)


def unknown_in(document: dict) -> list[FileFault]:
    """Return what a file without faults of form names and this workshop has not, or cannot be so."""
    symbols = [(f"/polymers/{n}", name) for n, name in enumerate(document.get("polymers", ()))]
    faults = [fault for place, symbol in symbols for fault in unworked(place, symbol)]
    for place, item in enumerate(document.get("items", ())):
        if item.get("design") and design_named(item["design"]) is None:
            faults.append(FileFault(f"/items/{place}/design", UNKNOWN_DESIGN))
    return (faults + misplaced_in(document) + in_other_polymers(document))[:MOST_FAULTS]


def unworked(place: str, symbol: str) -> list[FileFault]:
    """Return that a polymer is not kept here or not worked, at its place."""
    polymer = polymer_named(symbol)
    if polymer is None:
        return [FileFault(place, UNKNOWN_POLYMER)]
    return [FileFault(place, REJECTED_POLYMER)] if polymer.is_rejected else []


def in_other_polymers(document: dict) -> list[FileFault]:
    """Return the sheets in polymers that are not worked here, or of which the design is not made."""
    faults, allowed = [], polymers_of(document)
    for number, sheet in enumerate(document.get("process_sheets", ())):
        place = f"/process_sheets/{number}/polymer"
        found = unworked(place, sheet["polymer"])
        if not found and allowed and polymer_of(sheet) not in allowed:
            found = [FileFault(place, OTHER_POLYMER)]
        faults += found
    return faults


def polymer_of(sheet: dict) -> Polymer | None:
    """Return the polymer of a process sheet in a file."""
    return polymer_named(sheet["polymer"])


def polymers_of(document: dict) -> list[Polymer]:
    """Return the polymers of a file without faults, each once."""
    found = {polymer_named(symbol) for symbol in document.get("polymers", ())}
    return sorted(filter(None, found), key=str)


def design_named(name: str) -> Design | None:
    """Return the design of a name, spelt the same."""
    return Design.objects.filter(name=name).first()
