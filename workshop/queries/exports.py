"""Which part of the book a document in an open format tells of, and the document as a file."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime, timedelta

from django.db.models import TextChoices
from django.utils.translation import gettext_lazy

from inventory.calculations.epcis_terms import MEDIA_TYPE
from inventory.calculations.prov_documents import JSON_TYPE, NOTATION_TYPE
from inventory.models import Bin, Delivery, Lot
from inventory.queries.exports import Scope, epcis_chunks, in_time
from inventory.queries.lots import lot_label, open_lot_in
from inventory.queries.prov_exports import prov_json_chunks, prov_notation_chunks
from products.models import Part
from products.queries.addresses import printed_address
from workshop.models import Charge, Run
from workshop.queries.codes import thing_called


class Kind(TextChoices):
    """In which open format a document is."""

    EPCIS = "epcis", gettext_lazy("EPCIS 2.0 (JSON-LD), for other workshops and for trade")
    PROV_JSON = "prov-json", gettext_lazy("W3C PROV as PROV-JSON, for programs")
    PROV_N = "prov-n", gettext_lazy("W3C PROV as PROV-N, to read")


FILES = {
    Kind.EPCIS: (epcis_chunks, MEDIA_TYPE, "jsonld"),
    Kind.PROV_JSON: (prov_json_chunks, JSON_TYPE, "json"),
    Kind.PROV_N: (prov_notation_chunks, f"{NOTATION_TYPE}; charset=utf-8", "provn"),
}


@dataclass(frozen=True)
class Document:
    """A document as a file: its name, its media type and its text, some at a time."""

    file_name: str
    media_type: str
    chunks: Iterable[str]


def document_of(scope: Scope, kind: str) -> Document:
    """Return the document of a scope; of any length, for it is read while it is written."""
    chunks_of, media_type, ending = FILES[kind]
    plain = "".join(each if each.isascii() and each.isalnum() else "-" for each in scope.name)
    return Document(f"{plain}-{kind}.{ending}", media_type, chunks_of(scope, printed_address()))


def scope_called(text: str, direction: str) -> Scope | None:
    """Return the scope of a lot, part, delivery or run by its code, number or bin; None where nothing is."""
    thing = thing_called(text)
    if isinstance(thing, Run):
        return scope_of_run(thing, direction)
    if isinstance(thing, Bin):
        thing = open_lot_in(thing)
    lot = thing.lot if isinstance(thing, Part | Delivery) else thing
    if not isinstance(lot, Lot):
        return None
    return Scope(name=lot_label(lot), about=(lot,), direction=direction)


def scope_of_run(run: Run, direction: str) -> Scope:
    """Return the scope of a run: all that was posted for it, and what is behind or ahead of its charges."""
    charges = Charge.objects.filter(run=run).order_by("number").select_related("lot")
    lots = tuple(charge.lot for charge in charges)
    return Scope(name=run.number, about=lots, direction=direction, reference=run.reference)


def scope_of_time(since: datetime, until: datetime) -> Scope:
    """Return the scope of all that happened from a moment until before another, called by its days."""
    last = until - timedelta(microseconds=1)
    name = f"{since:%Y-%m-%d} to {last:%Y-%m-%d}"
    return Scope(name=name, since=since, until=until)


def is_empty(scope: Scope) -> bool:
    """Return whether nothing happened in the time of a scope; of a trace there is always something."""
    return not scope.direction and next(in_time(scope, ("pk",)), None) is None
