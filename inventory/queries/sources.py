"""Questions about sources: what came from whom."""

from dataclasses import dataclass

from django.db.models import Count, Max, OuterRef, QuerySet, Subquery, Sum
from django.db.models.functions import Coalesce

from inventory.models import Delivery, Source


@dataclass(frozen=True)
class Received:
    """Mass of one polymer that came from a source, in mg, in so many deliveries."""

    symbol: str
    mass_mg: int
    deliveries: int
    last_on: object


def source_list() -> QuerySet[Source]:
    """Return every source with its accepted deliveries counted and their mass in mg."""
    accepted = Delivery.objects.filter(source=OuterRef("pk"), lot__isnull=False).order_by()
    sums = accepted.values("source")
    return Source.objects.annotate(
        received_mg=Coalesce(Subquery(sums.annotate(mg=Sum("net_mg")).values("mg")), 0),
        delivery_count=Coalesce(Subquery(sums.annotate(n=Count("pk")).values("n")), 0),
        last_on=Subquery(sums.annotate(last=Max("delivered_on")).values("last")),
    )


def received_by_polymer(source: Source) -> list[Received]:
    """Return what came from a source and was accepted, by polymer, largest first."""
    rows = (
        source.deliveries.filter(lot__isnull=False)
        .order_by()
        .values("polymer__symbol")
        .annotate(mg=Sum("net_mg"), number=Count("pk"), last=Max("delivered_on"))
        .order_by("-mg")
    )
    return [
        Received(row["polymer__symbol"] or "", row["mg"], row["number"], row["last"])
        for row in rows
    ]
