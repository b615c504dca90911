"""Receiving a delivery together with where it came from, by the document of another workshop.

The mass enters as of every delivery, by weighing or typing. The document moves none: it is kept,
with the shares that were read off it.
"""

from dataclasses import dataclass, replace
from uuid import NAMESPACE_URL, uuid5

from django.db import transaction
from django.utils.translation import gettext as _

from inventory.actions.acts import Act, is_used, wait_for_turn
from inventory.actions.deliveries import Receipt, receive_delivery
from inventory.actions.refusals import refusal
from inventory.calculations.fingerprints import plain
from inventory.models import (
    Bin,
    Delivery,
    ForeignEvent,
    ForeignOrigin,
    ForeignPasses,
    Lineage,
    Lot,
    Posting,
)
from inventory.queries.lineages import Brought, brought_of, faults_told, kept_text
from inventory.queries.materials import polymer_named

CHANGED = "content-changed"
DOCUMENTS = uuid5(NAMESPACE_URL, "documents")  # they follow each other, for two may tell one event
AT_ONCE = 500


@dataclass(frozen=True)
class Document:
    """A sound document, ready to be kept with the lot that its delivery becomes."""

    brought: Brought

    def plain(self) -> dict:
        """Return what a fingerprint needs of it."""
        return {"lot": self.brought.lineage.lot, "digest": self.brought.digest}

    def keep(self, lot: Lot) -> None:
        """Write the document down with the shares that it tells, and the events it told first."""
        found = self.brought
        lineage = Lineage.objects.create(
            lot=lot,
            foreign_id=found.lineage.lot,
            workshop=found.workshop,
            document=kept_text(found.document),
            digest=found.digest,
            lots_behind=found.lineage.lots,
        )
        ForeignOrigin.objects.bulk_create(origin_rows(lineage, found), AT_ONCE)
        ForeignPasses.objects.bulk_create(
            ForeignPasses(lineage=lineage, count=count, numerator=n, denominator=d)
            for count, (n, d) in found.lineage.passes.items()
        )
        keep_events(lineage, found)


def origin_rows(lineage: Lineage, found: Brought) -> list[ForeignOrigin]:
    """Return a row for each origin that a document told of, unsaved."""
    return [
        ForeignOrigin(
            lineage=lineage,
            position=position,
            foreign_id=each.id,
            origin_class=each.origin_class,
            polymer=found.polymers[each.polymer],
            colour=each.colour,
            srgb=each.srgb,
            source=each.source,
            numerator=numerator,
            denominator=denominator,
        )
        for position, (each, (numerator, denominator)) in enumerate(
            found.lineage.beginnings.items(), 1
        )
    ]


def keep_events(lineage: Lineage, found: Brought) -> None:
    """Write down the events that no earlier document told; those it told are the same."""
    keys = sorted(found.events)
    known = set()
    for start in range(0, len(keys), AT_ONCE):
        ids = {name for name, _declared in keys[start : start + AT_ONCE]}
        rows = ForeignEvent.objects.filter(event_id__in=ids)
        known.update(rows.values_list("event_id", "is_declaration"))
    ForeignEvent.objects.bulk_create(
        (
            ForeignEvent(
                lineage=lineage, event_id=name, is_declaration=declared, digest=found.events[key]
            )
            for key in keys
            if key not in known
            for name, declared in [key]
        ),
        AT_ONCE,
    )


@transaction.atomic
def bring_delivery(
    *,
    receipt: Receipt,
    document: dict,
    lot: str,
    act: Act,
    bin: Bin | None = None,
    is_confirmed: bool = False,
) -> Delivery:
    """Accept a delivery of a foreign lot with the document that tells where it came from.

    Refuses `document` for one that is not sound, naming the places, `content-changed` where it tells
    an event otherwise than an earlier one did, `polymer-differs`, `already-received` for a lot that stands
    received otherwise, and what `receive_delivery` refuses. The same document with the same
    receipt again is answered as the first time, whatever its UUID. The class of the receipt does
    not count: the document's shares do.
    """
    wait_for_turn(DOCUMENTS)
    found = brought_of(document, lot)
    guard_sound(found)
    receipt = replace(receipt, origin_class=found.lineage.origin_class)
    guard_polymer(receipt, found)
    if found.earlier and not is_used(act.key):
        return received_alike(found, receipt)
    more = {"bin": bin, "paper": Document(found), "is_confirmed": is_confirmed}
    return receive_delivery(receipt=receipt, act=act, **more)


def guard_sound(found: Brought) -> None:
    """Refuse a document with faults, in words and with their places."""
    if not found.faults:
        return
    changed = any(each.rule == CHANGED for each in found.faults)
    raise refusal(CHANGED if changed else "document", faults_told(found.faults))


def guard_polymer(receipt: Receipt, found: Brought) -> None:
    """Refuse a receipt of another polymer than the document says."""
    told = found.lineage.material["polymer"]
    if told and polymer_named(told) != receipt.polymer:
        raise refusal(
            "polymer-differs",
            _("The document says %(told)s; receive it without the document, or look again."),
            told=told,
        )


def received_alike(found: Brought, receipt: Receipt) -> Delivery:
    """Return the delivery that the same document made with the same receipt, or refuse."""
    earlier = found.earlier
    asked = Posting.objects.get(uuid=earlier.uuid).request["receipt"]
    if earlier.lot.lineage.digest == found.digest and asked == plain(receipt.plain()):
        return earlier
    raise refusal(
        "already-received",
        _(
            "This lot was received already, as %(number)s; only a lot of its own can be received again."
        ),
        number=earlier.number,
    )
