"""Questions about parts: which there are, and whether they are here, in use or used up."""

from collections.abc import Iterable

from django.db import models
from django.db.models import Case, Exists, F, OuterRef, QuerySet, Subquery, Value, When
from django.utils.translation import gettext_lazy as _

from inventory.models import Hold, Lot
from products.models import Fixing, Handover, Part


class PartState(models.TextChoices):
    """Where a part stands now."""

    IN_STOCK = "in-stock", _("in stock")
    IN_USE = "in-use", _("in use")
    IN_PRODUCT = "in-product", _("in a product")
    USED_UP = "used-up", _("used up")


PILLS = {
    PartState.IN_STOCK: "done",
    PartState.IN_USE: "running",
    PartState.IN_PRODUCT: "sealed",
    PartState.USED_UP: "empty",
}


def part_list() -> QuerySet[Part]:
    """Return made parts with their state, the code of what each is in, and all that a row or page prints."""
    away = Handover.objects.filter(part=OuterRef("pk"), back_at__isnull=True)
    held = Hold.objects.open().filter(lot=OuterRef("lot"))
    used_up = When(lot__out_mg=F("lot__in_mg"), then=Value(PartState.USED_UP.value))
    in_use = When(Exists(away), then=Value(PartState.IN_USE.value))
    fixed = Fixing.objects.open().filter(part=OuterRef("pk"))
    in_product = When(Exists(fixed), then=Value(PartState.IN_PRODUCT.value))
    related = ("design", "lot__polymer", "lot__colour", "made_in", "bag")
    return (
        Part.objects.made()
        .select_related(*related)
        .annotate(
            is_held=Exists(held),
            state=Case(used_up, in_use, in_product, default=Value(PartState.IN_STOCK.value)),
            held_in=Subquery(fixed.values("holder__code")),
        )
    )


def state_pill(part: Part) -> tuple[str, str]:
    """Return the pill's glyph and word of a part of the part list; a hold goes before all else."""
    if part.is_held:
        return "held", _("on hold")
    return PILLS[PartState(part.state)], PartState(part.state).label


def design_names(lots: Iterable[Lot]) -> dict[int, str]:
    """Return what the parts among some lots are made after, by key of the lot, in one query."""
    rows = Part.objects.filter(lot__in=[lot.pk for lot in lots if lot.kind == Lot.Kind.PART])
    return dict(rows.values_list("lot", "design__name"))
