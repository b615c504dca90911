"""A recall with names: where each holder stands, which part it is, whether its hold stands."""

from dataclasses import dataclass

from django.utils.translation import gettext as _

from inventory.calculations.codes import group_code
from inventory.models import Hold, Lot, Recall
from inventory.queries.lots import lot_label
from inventory.queries.recalls import Holder, Whereabouts
from inventory.queries.traces import batches
from products.models import Part
from products.queries.fixings import products_of
from products.queries.parts import PartState, part_list

BATCH = 500  # holds


@dataclass(frozen=True)
class Row:
    """One holder as a page or a paper prints it; masses in mg, the share of what it holds 0 to 1."""

    holder: Holder
    part: Part | None
    product: Part | None = None

    @property
    def place(self) -> str:
        """Where it is, in a word or two; of a part in a product, in which, and whether that is in use."""
        if self.product:
            return place_in(self.product)
        if self.part:
            return str(PartState(self.part.state).label)
        if self.holder.lot.kind == Lot.Kind.CHARGE:
            return _("in a machine")
        return _("in a bin") if self.holder.lot.bin else _("on the floor")

    @property
    def name(self) -> str:
        """What people call it."""
        design = f"{self.part.design.name}, " if self.part else ""
        return design + lot_label(self.holder.lot)


def rows_of(found: Whereabouts) -> list[Row]:
    """Return the holders with their parts, in one query more; where some are in products, a few."""
    return named([*found.holders])


def named(holders: list[Holder]) -> list[Row]:
    """Return holders with the parts they are."""
    keys = [each.lot.pk for each in holders if each.lot.kind == Lot.Kind.PART]
    parts = parts_named(keys)
    products = products_of(parts.values())
    found = [(each, parts.get(each.lot.pk)) for each in holders]
    return [Row(each, part, products.get(part.pk) if part else None) for each, part in found]


def parts_named(lots: list[int]) -> dict[int, Part]:
    """Return the parts that some lots are, by key of the lot, with what names and places them and no more."""
    rows = (
        part_list()
        .select_related(None)
        .select_related("design")
        .only("code", "lot", "design__name")
    )
    found = {}
    for some in batches(lots):
        found |= {part.lot_id: part for part in rows.filter(lot__in=some)}
    return found


def place_in(product: Part) -> str:
    """Return in which product something is, by the code that its passport has, and whether that is in use."""
    facts = {"design": product.design.name, "code": group_code(product.code)}
    is_away = product.state == PartState.IN_USE
    sentence = _("in use, in %(design)s %(code)s") if is_away else _("in %(design)s %(code)s")
    return sentence % facts


@dataclass(frozen=True)
class HeldRow:
    """One hold of a recall, with the lot as it is now."""

    hold: Hold
    part: Part | None
    product: Part | None = None

    @property
    def name(self) -> str:
        """What people call the lot, and in which product it is."""
        design = f"{self.part.design.name}, " if self.part else ""
        where = f", {place_in(self.product)}" if self.product else ""
        return design + lot_label(self.hold.lot) + where


def looked_for(recall: Recall) -> list[tuple[str, str]]:
    """Return what people call each lot that was looked for, as on the paper, and its code."""
    lots = recall.lots.select_related("bin", "delivery")
    return [(lot_label(lot), lot.code) for lot in lots]


def holds_of(recall: Recall):
    """Return the holds that a recall placed, oldest first, with all that a row prints."""
    related = ("lot__bin", "lot__delivery", "lot__polymer", "lot__colour", "lifted_by", "placed_by")
    return recall.holds.select_related(*related).order_by("pk")


def held_in_batches(recall: Recall):
    """Yield the rows of all holds of a recall, oldest first, with no more than BATCH in memory."""
    last = 0
    while rows := held_rows(list(holds_of(recall).filter(pk__gt=last)[:BATCH])):
        yield from rows
        last = rows[-1].hold.pk


def held_rows(holds: list[Hold]) -> list[HeldRow]:
    """Return holds with the parts that they stop and the products that those are in; few queries."""
    parts = parts_named([hold.lot_id for hold in holds])
    products = products_of(parts.values())
    found = [(hold, parts.get(hold.lot_id)) for hold in holds]
    return [HeldRow(hold, part, products.get(part.pk) if part else None) for hold, part in found]
