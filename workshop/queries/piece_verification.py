"""Whether lots keep as much for the pieces of open visits as those took."""

from collections.abc import Iterator

from django.db.models import F, OuterRef, Subquery, Sum
from django.db.models.functions import Coalesce
from django.utils.translation import gettext_lazy as _

from inventory.models import Lot
from workshop.models import Piece


def wrong_spoken_for() -> Iterator[str]:
    """Yield lots that keep another mass than the pieces of open visits took of them."""
    taken = Piece.objects.unsettled().filter(lot=OuterRef("pk")).order_by().values("lot")
    mg = Coalesce(Subquery(taken.annotate(mg=Sum("nominal_mg")).values("mg")), 0)
    lots = Lot.objects.annotate(taken_mg=mg, kept_mg=Coalesce("spoken_for_mg", 0))
    asked = lots.filter(spoken_for_mg__isnull=False) | lots.filter(
        pk__in=Piece.objects.unsettled().order_by().values("lot")
    )
    wrong = asked.exclude(kept_mg=F("taken_mg")).order_by("pk")
    for code, kept_mg, taken_mg in wrong.values_list("code", "kept_mg", "taken_mg"):
        yield (
            f"lot {code}: {kept_mg} mg are spoken for, the pieces of open visits took {taken_mg} mg"
        )


CHECKS = {"spoken for": wrong_spoken_for}
SENTENCES = {"spoken for": _("What visitors' pieces took and is not settled yet is kept for them.")}
