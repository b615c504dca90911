"""What the start page shows beside the open runs: what needs a decision."""

from inventory.models import Lot

MOST_ROWS = 5
RELATED = ("polymer", "colour", "bin", "delivery__source")


def unknown_lots() -> list[Lot]:
    """Return the oldest lots in stock whose polymer nobody knows; one more than is shown."""
    kinds = [kind for kind in Lot.Kind if kind != Lot.Kind.CHARGE]  # so that an index is used
    lots = Lot.objects.open().filter(kind__in=kinds, polymer__isnull=True)
    return list(lots.select_related(*RELATED).order_by("pk")[: MOST_ROWS + 1])


def floor_lots() -> list[Lot]:
    """Return the oldest known deliveries that stand in no bin yet; one more than is shown."""
    lots = Lot.objects.open().filter(kind=Lot.Kind.DELIVERY, bin=None, polymer__isnull=False)
    return list(lots.select_related(*RELATED).order_by("pk")[: MOST_ROWS + 1])
