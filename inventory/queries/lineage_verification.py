"""Whether what documents from elsewhere told is still what is kept of them."""

import json
from collections.abc import Iterator
from fractions import Fraction

from inventory.calculations.epcis_reading import read
from inventory.calculations.lineages import NoLineage, content_digest, event_digests, lineage_of
from inventory.models import ForeignEvent, Lineage, Posting

AT_ONCE = 500


def wrong_lineages() -> Iterator[str]:
    """Yield lineages whose document does not give the shares that are kept, or was not the one received."""
    rows = Lineage.objects.select_related("lot__delivery").prefetch_related(
        "origins__polymer", "passes"
    )
    for lineage in rows.order_by("pk").iterator(AT_ONCE):
        if fault := fault_of(lineage):
            yield f"lot {lineage.lot.code}: {fault}"


def fault_of(lineage: Lineage) -> str:
    """Return what is wrong with a lineage, empty when it is as its document tells."""
    try:
        document = json.loads(lineage.document)
        reading = read(document)
        events, told = event_digests(reading), lineage_of(reading, document, lineage.foreign_id)
    except (ValueError, NoLineage):
        return "its document can no longer be read"
    if content_digest(events, lineage.foreign_id) != lineage.digest or not is_received(lineage):
        return "its document is not the one that was received"
    if shares_kept(lineage) != shares_told(told):
        return "the shares kept are not those of its document"
    return "" if are_kept(events) else "an event of its document is kept with other content"


def is_received(lineage: Lineage) -> bool:
    """Return whether the posting that took the delivery in names this document."""
    posting = Posting.objects.filter(uuid=lineage.lot.delivery.uuid).first()
    told = posting.request.get("lineage") if posting else None
    return told == {"lot": lineage.foreign_id, "digest": lineage.digest}


def shares_kept(lineage: Lineage) -> tuple:
    """Return what is kept of a document, as plain values; empty unless the shares sum to exactly 1."""
    sides = list(lineage.origins.all()), list(lineage.passes.all())
    if any(sum(Fraction(r.numerator, r.denominator) for r in rows) != 1 for rows in sides):
        return ()
    origins = [
        (
            (row.foreign_id, row.origin_class, row.colour, row.srgb, row.source),
            (row.numerator, row.denominator),
        )
        for row in sides[0]
    ]
    return origins, {row.count: (row.numerator, row.denominator) for row in sides[1]}


def shares_told(told) -> tuple:
    """Return the same as a document tells it."""
    origins = [
        ((each.id, each.origin_class, each.colour, each.srgb, each.source), share)
        for each, share in told.beginnings.items()
    ]
    return origins, told.passes


def are_kept(events: dict[tuple[str, bool], str]) -> bool:
    """Return whether each event of a document is kept with its content."""
    kept, ids = {}, sorted({name for name, _declared in events})
    for start in range(0, len(ids), AT_ONCE):
        rows = ForeignEvent.objects.filter(event_id__in=ids[start : start + AT_ONCE])
        for name, declared, digest in rows.values_list("event_id", "is_declaration", "digest"):
            kept[name, declared] = digest
    return all(kept.get(key) == digest for key, digest in events.items())


CHECKS = {"lineages": wrong_lineages}
