"""Questions about deliveries."""

from django.db.models import Exists, OuterRef, QuerySet

from inventory.models import Delivery, Hold
from inventory.queries.codes import row_coded
from inventory.queries.postings import LONGEST_NUMBER


def delivery_list() -> QuerySet[Delivery]:
    """Return every delivery, refused ones included, with all that a list row prints."""
    held = Hold.objects.open().filter(lot=OuterRef("lot"))
    related = ("source", "polymer", "colour", "lot__bin", "scale", "recorded_by")
    return Delivery.objects.select_related(*related).annotate(is_held=Exists(held))


def delivery_numbered(text: str) -> Delivery | None:
    """Return the delivery of a shop number such as D-0042, or of a code."""
    typed = text.strip().upper()
    digits = typed.removeprefix("D-")
    if typed != digits and digits.isdecimal() and len(digits) <= LONGEST_NUMBER:
        return Delivery.objects.filter(pk=int(digits)).first()
    return row_coded(Delivery.objects.all(), text)
