"""Questions about deliveries."""

from django.db.models import Exists, OuterRef, QuerySet

from inventory.models import Delivery, Hold, Lot, Transfer
from inventory.queries.codes import row_coded
from inventory.queries.postings import LONGEST_NUMBER, standing_transfers


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
