"""Questions about designs: what there is of each."""

from django.db.models import Count, IntegerField, OuterRef, QuerySet, Subquery
from django.db.models.functions import Coalesce

from products.models import Design, Part


def counted(parts: QuerySet[Part]) -> Coalesce:
    """Return the number of these parts for each design, to annotate with."""
    rows = parts.filter(design=OuterRef("pk")).order_by().values("design")
    number = rows.annotate(number=Count("pk")).values("number")
    return Coalesce(Subquery(number, output_field=IntegerField()), 0)


def design_list() -> QuerySet[Design]:
    """Return designs with the numbers of parts in stock and in use, each counted once."""
    return Design.objects.prefetch_related("polymers").annotate(
        in_stock=counted(Part.objects.here()), in_use=counted(Part.objects.in_use())
    )
