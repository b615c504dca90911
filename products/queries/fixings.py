"""Questions about parts put together: what a part holds, what it lacks, and in what it is itself."""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass

from django.db.models import Exists, F, OuterRef, QuerySet, Subquery

from inventory.models import Hold
from inventory.queries.traces import batches
from products.models import Fixing, Handover, Item, Part, Passport
from products.queries.parts import part_list

MOST_FITTING = 24
OF_PART = ("part__design", "part__lot__polymer", "part__lot__colour")


@dataclass(frozen=True)
class Slot:
    """A line of a parts list that takes a design, with what is at it now."""

    item: Item
    fixings: tuple[Fixing, ...] = ()

    @property
    def held(self) -> int:
        """Pieces that are at it."""
        return sum(fixing.part.pieces_left for fixing in self.fixings)

    @property
    def missing(self) -> int:
        """Pieces that it lacks."""
        return max(0, self.item.count - self.held)


@dataclass(frozen=True)
class Holding:
    """What a part holds: by line of its parts list, and at no line of it since the list was changed."""

    slots: tuple[Slot, ...]
    others: tuple[Fixing, ...]

    @property
    def fixings(self) -> list[Fixing]:
        """All that is in it now, in the order of the list."""
        return [fixing for slot in self.slots for fixing in slot.fixings] + list(self.others)

    @property
    def lacking(self) -> list[Slot]:
        """The lines at which something is missing."""
        return [slot for slot in self.slots if slot.missing]

    def slots_for(self, part: Part, line: int | None = None) -> list[Slot]:
        """Return the lines that take the design of a part, or of these the one that is named."""
        found = [slot for slot in self.slots if slot.item.component_id == part.design_id]
        return [slot for slot in found if line in (None, slot.item.line)]


def holding_of(holder: Part) -> Holding:
    """Return what a part holds now against the parts list of its design, in two queries."""
    fixings = list(holder.fixings.open().select_related(*OF_PART).order_by("line", "pk"))
    items = holder.design.items.filter(component__isnull=False).select_related("component")
    slots = tuple(Slot(item, at_line(item, fixings)) for item in items)
    known = {fixing.pk for slot in slots for fixing in slot.fixings}
    return Holding(slots, tuple(each for each in fixings if each.pk not in known))


def at_line(item: Item, fixings: Iterable[Fixing]) -> tuple[Fixing, ...]:
    """Return the fixings at a line of a parts list."""
    own = (item.line, item.component_id)
    return tuple(each for each in fixings if (each.line, each.part.design_id) == own)


def past_fixings(holder: Part) -> QuerySet[Fixing]:
    """Return everything that was ever put into a part, the newest first."""
    return holder.fixings.select_related("part__design", "part__lot", "put_in_by", "taken_out_by")


def places_of(part: Part) -> QuerySet[Fixing]:
    """Return every part that a part was ever in, the newest first."""
    return part.places.select_related("holder__design", "holder__lot", "put_in_by", "taken_out_by")


def fixing_of(part: Part) -> Fixing | None:
    """Return by what a part is in another now, or None."""
    return part.places.open().select_related("holder__design").first()


def holders_above(part: Part) -> list[Part]:
    """Return the part that a part is in, the one that that is in, and so on; one query a level."""
    found = []
    while fixing := fixing_of(found[-1] if found else part):
        found.append(fixing.holder)
    return found


def holders_of(lots: Iterable[int]) -> set[int]:
    """Return the parts that hold a part of one of some lots now, by primary key; a query for ten thousand lots."""
    standing = Fixing.objects.open().order_by()
    found = (standing.filter(part__lot__in=some).values_list("holder") for some in batches(lots))
    return {holder for rows in found for (holder,) in rows}


def parts_inside(part: Part) -> list[Part]:
    """Return all parts that a part holds, those that they hold too; one query a level."""
    found, ahead = [], [part.pk]
    while rows := list(Fixing.objects.open().filter(holder__in=ahead).select_related(*OF_PART)):
        found += [row.part for row in rows]
        ahead = [row.part_id for row in rows]
    return found


def products_of(parts: Iterable[Part]) -> dict[int, Part]:
    """Return the outermost part that each part of the part list is in, by primary key; a query a level.

    Parts that are in nothing are left out.
    """
    fixed = [part.pk for part in parts if part.held_in]
    above, ahead = {}, fixed
    while found := dict(Fixing.objects.open().filter(part__in=ahead).values_list("part", "holder")):
        above |= found
        ahead = found.values()
    tops = {pk: topmost(pk, above) for pk in fixed}
    products = part_list().in_bulk(set(tops.values())) if tops else {}
    return {pk: products[top] for pk, top in tops.items() if top in products}


def topmost(key: int, above: dict[int, int]) -> int:
    """Return the end of a way up."""
    while key in above:
        key = above[key]
    return key


def is_handed_over(parts: Iterable[Part]) -> bool:
    """Return whether one of some parts is in use."""
    return Handover.objects.filter(part__in=list(parts), back_at=None).exists()


def parts_that_fit(holding: Holding) -> list[Part]:
    """Return parts here, not on hold, of the designs that a holding lacks, the newest first."""
    designs = {slot.item.component_id for slot in holding.lacking}
    return list(loose_parts(designs)[:MOST_FITTING]) if designs else []


def loose_parts(designs: Iterable[int]) -> QuerySet[Part]:
    """Return parts of some designs that could be put in, the newest first.

    They are here, not on hold, and came out of no product with something wrong with them.
    """
    held = Hold.objects.open().filter(lot=OuterRef("lot"))
    wrong = Fixing.objects.filter(part=OuterRef("pk"), state_when_taken_out__gt="")
    loose = Part.objects.here().filter(design__in=designs).exclude(Exists(held) | Exists(wrong))
    return loose.select_related("design", "lot__polymer", "lot__colour").order_by("-pk")


def stated_holdings(parts: Iterable[Part]) -> dict[int, list[dict]]:
    """Return what passports state of what each part holds now, by primary key, in one query.

    Only of those that hold something; in the order of the parts list.
    """
    fixings = Fixing.objects.open().filter(holder__in=[part.pk for part in parts])
    found = defaultdict(list)
    for fixing in fixings.select_related(*OF_PART).order_by("line", "part__code"):
        part = fixing.part
        found[fixing.holder_id].append(
            {
                "code": part.code,
                "name": part.design.name,
                "pieces": part.pieces_left,
                "mark": part.lot.mark,
                "mass_mg": part.lot.held_mg,
            }
        )
    return dict(found)


def changed_since_passport() -> QuerySet[Fixing]:
    """Return the fixings that the book learned of since the newest passport of their holder was issued."""
    newest = Passport.objects.filter(part=OuterRef("holder")).order_by("-version")
    dated = Fixing.objects.annotate(stated_at=Subquery(newest.values("issued_at")[:1]))
    return dated.filter(noted_at__gte=F("stated_at"))
