"""What a plan may draw from: what is free, what is on hold, what has another colour."""

from dataclasses import dataclass

from inventory.calculations.coarseness import READY
from inventory.calculations.melt_passes import pass_figures
from inventory.models import Colour, Lot, Polymer
from inventory.models.materials import OriginClass
from inventory.queries.foreign_origins import parts_by_key, summed_by
from inventory.queries.make_ups import origin_shares_of_lots, passes_of_lots
from products.models import Design
from workshop.calculations.draws import Offers, Stock

MOST_LOTS = 120  # as many as are weighed against each other in about a second
RECYCLED_CLASSES = (OriginClass.POST_CONSUMER, OriginClass.PRE_CONSUMER)
PASSES, RECYCLED = "passes", "recycled"


@dataclass(frozen=True)
class Shelf:
    """The lots that a plan may draw from by their code, as offers to choose among, the oldest first."""

    lots: dict[str, Lot]
    offers: Offers


def shelf_for(design: Design, polymer: Polymer, colour: Colour | None) -> Shelf:
    """Return the flake and pellet of a polymer in stock, at most so many of the oldest lots.

    A lot is as old as its fill: topping up a bin makes a new one. In at most five queries.
    """
    kinds = (Lot.Kind.DELIVERY, Lot.Kind.FILL)
    found = Lot.objects.open().with_hold().filter(kind__in=kinds, polymer=polymer, form__in=READY)
    related = ("polymer", "colour", "bin", "delivery")
    lots = list(found.select_related(*related).order_by("opened_at", "pk")[:MOST_LOTS])
    stocks = dict(zip((lot.pk for lot in lots), stocks_of(lots, design), strict=True))
    wanted = [lot for lot in lots if colour is None or lot.colour_id == colour.pk]
    others = [lot for lot in lots if colour is not None and lot.colour_id != colour.pk]
    return Shelf(
        lots={lot.code: lot for lot in lots},
        offers=Offers(
            free=tuple(stocks[lot.pk] for lot in wanted if not lot.is_held),
            on_hold=tuple(stocks[lot.pk] for lot in wanted if lot.is_held),
            other_colours=tuple(stocks[lot.pk] for lot in others if not lot.is_held),
        ),
    )


def stocks_of(lots: list[Lot], design: Design) -> list[Stock]:
    """Return lots with the shares that limits count: melted too often for the design, and recycled."""
    limit = design.pass_limit
    passes = passes_of_lots(lots) if limit else {}
    recycled = recycled_shares(lots)
    return [
        Stock(
            lot.code,
            lot.held_mg,
            {
                PASSES: pass_figures(passes[lot.pk]).share_from(limit.times) if limit else 0.0,
                RECYCLED: recycled[lot.pk],
            },
        )
        for lot in lots
    ]


def recycled_shares(lots: list[Lot]) -> dict[int, float]:
    """Return the post- and pre-consumer share of each lot by primary key; unknown counts as none (ISO 14021)."""
    found = origin_shares_of_lots({lot.pk: lot for lot in lots})
    parts = parts_by_key({pk for shares in found.values() for pk in shares})
    by_class = {
        lot: summed_by(shares, parts, lambda facts: facts.origin_class)
        for lot, shares in found.items()
    }
    return {
        lot: min(1.0, float(sum(shares.get(each, 0) for each in RECYCLED_CLASSES)))
        for lot, shares in by_class.items()
    }
