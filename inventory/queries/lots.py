"""Questions about lots: what is open, held, and how sure its mass is."""

from django.db.models import Q, QuerySet, Sum

from inventory.models import Basis, Hold, Lot, Mass
from inventory.queries.postings import standing_transfers


def open_lot_in(bin) -> Lot | None:
    """Return the lot that a bin holds now, with its material."""
    return bin.lots.open().select_related("polymer", "colour", "bin").first()


def is_on_hold(lot: Lot) -> bool:
    """Return whether a hold on the lot is not lifted yet."""
    return Hold.objects.open().filter(lot=lot).exists()


def book_mass(lot: Lot) -> Mass:
    """Return all that the book says a lot holds, with the uncertainty of what made that figure.

    Each weighing that filled or drew from the lot adds its variance (GUM, sum in quadrature).
    """
    rows = standing_transfers().filter(Q(source=lot) | Q(target=lot))
    variance = sum(u * u for u in rows.values_list("uncertainty_ug", flat=True))
    return Mass(lot.held_mg, Basis.BOOK, None, round(variance**0.5))


def lot_list() -> QuerySet[Lot]:
    """Return every lot that ever took something, with all that a list row prints."""
    related = ("polymer", "colour", "bin", "delivery__source")
    return Lot.objects.taken().with_hold().select_related(*related)


def held_lots() -> QuerySet[Hold]:
    """Return the holds not lifted, on lots that still hold something, newest first."""
    holds = Hold.objects.open().filter(lot__in=Lot.objects.open())
    return holds.select_related("lot__polymer", "lot__colour", "lot__bin", "placed_by")


def mass_by_polymer() -> list[tuple[str, int]]:
    """Return (symbol, mg now in stock) for each polymer, largest first."""
    stock = Lot.objects.open().exclude(kind=Lot.Kind.CHARGE)
    rows = stock.values("polymer__symbol").annotate(mg=Sum("in_mg") - Sum("out_mg"))
    return sorted(((row["polymer__symbol"] or "", row["mg"]) for row in rows), key=lambda r: -r[1])
