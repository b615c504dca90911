"""Questions about deliveries."""

from django.db.models import Exists, OuterRef, QuerySet
from django.utils.translation import gettext as _

from inventory.calculations.surprises import delivery_surprise, is_other_unit
from inventory.models import Delivery, Hold, Lot, Source, Transfer
from inventory.queries.codes import row_coded
from inventory.queries.masses import mass_said
from inventory.queries.postings import LONGEST_NUMBER, standing_transfers

MOST_BEFORE = 20


def delivery_list() -> QuerySet[Delivery]:
    """Return every delivery, refused ones included, with all that a list row prints."""
    held = Hold.objects.open().filter(lot=OuterRef("lot"))
    related = ("source", "polymer", "colour", "lot__bin", "scale", "recorded_by")
    return Delivery.objects.select_related(*related).annotate(is_held=Exists(held))


def put_into_bins(lot: Lot, *, most: int = 5) -> list[Transfer]:
    """Return what of a delivery was put into bins, the latest first, each with the bin and its fill."""
    moves = standing_transfers().filter(source=lot, target__bin__isnull=False)
    return list(moves.select_related("posting", "target__bin").order_by("-posting_id", "id")[:most])


def delivery_numbered(text: str) -> Delivery | None:
    """Return the delivery of a shop number such as D-0042, or of a code."""
    typed = text.strip().upper()
    digits = typed.removeprefix("D-")
    if typed != digits and digits.isdecimal() and len(digits) <= LONGEST_NUMBER:
        return Delivery.objects.filter(pk=int(digits)).first()
    return row_coded(Delivery.objects.all(), text)


def brought_before(source: Source) -> list[int]:
    """Return the mg of the newest accepted deliveries of a source as the book has them now; one query."""
    received = Delivery.objects.filter(source=source, lot__in_mg__gt=0).order_by("-pk")
    return list(received.values_list("lot__in_mg", flat=True)[:MOST_BEFORE])


def net_question(source: Source, net_mg: int) -> str:
    """Return the sentence that asks back a mass far from what a source brought before, or an empty text."""
    before = brought_before(source)
    found = delivery_surprise(net_mg=net_mg, before_mg=before)
    if found is None:
        return ""
    facts = {
        "source": source,
        "value": mass_said(net_mg),
        "expected": mass_said(round(found.expected_mg)),
        "factor": found.factor,
        "least": mass_said(min(before)),
        "most": mass_said(max(before)),
    }
    if not found.factor:
        sentence = _("You entered %(value)s, and %(source)s brought %(least)s to %(most)s before.")
    elif found.is_above:
        sentence = _(
            "You entered %(value)s, about %(factor)s times what %(source)s usually brings (%(expected)s)."
        )
    else:
        sentence = _(
            "You entered %(value)s; what %(source)s usually brings (%(expected)s) is about %(factor)s times that."
        )
    said = sentence % facts
    if is_other_unit(net_mg=net_mg, before_mg=before):
        said = f"{said} {_('The other unit, g or kg, would be as before: was that meant?')}"
    return said
