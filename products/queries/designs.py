"""Questions about designs: what there is of each."""

from django.db.models import F, IntegerField, OuterRef, QuerySet, Subquery, Sum
from django.db.models.functions import Coalesce, Greatest, Round

from inventory.models import Change
from products.models import Design, Part

BROUGHT = "bring design"


def counted(parts: QuerySet[Part]) -> Coalesce:
    """Return the number of pieces of these parts for each design, to annotate with.

    Of a bag those count that are left of it, by the mass that is left, as `Part.pieces_left` says it.
    """
    left = F("lot__in_mg") - F("lot__out_mg")
    pieces = Greatest(Round(F("pieces") * 1.0 * left / F("lot__in_mg")), 1.0)
    rows = parts.filter(design=OuterRef("pk")).order_by().values("design")
    number = rows.annotate(number=Sum(pieces)).values("number")
    return Coalesce(Subquery(number, output_field=IntegerField()), 0)


def brought_of(design: Design) -> Change | None:
    """Return the act by which a design was brought in from a file, or None."""
    return Change.objects.filter(verb=BROUGHT, row=design.pk).select_related("by").first()


def bags_here(design: Design) -> int:
    """Return in how many bags the pieces in stock are, of a design that is tracked by bag."""
    return Part.objects.here().filter(design=design).count()


def design_list() -> QuerySet[Design]:
    """Return designs with the numbers of pieces in stock and in use, each counted once."""
    return Design.objects.prefetch_related("polymers").annotate(
        in_stock=counted(Part.objects.here()), in_use=counted(Part.objects.in_use())
    )
