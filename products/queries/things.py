"""What can carry a label: bins, lots, deliveries and parts, alone, by run or by range.

A delivery shares its code with its lot, and so does a part: one label, one address. A lot
of either kind is therefore named as the delivery or the part that it is.
"""

from collections.abc import Iterable
from typing import NamedTuple

from django.db.models import Model, QuerySet

from inventory.calculations.codes import normalise_code
from inventory.models import Bin, Delivery, Lot
from inventory.queries.bins import bin_named
from inventory.queries.codes import row_coded
from inventory.queries.deliveries import delivery_numbered
from inventory.queries.lots import lot_label, run_reference, with_fillers
from products.models import Label, Part

BIN, LOT, DELIVERY, PART = Label.Thing.values
MOST_THINGS = 1000


class Thing(NamedTuple):
    """What carries a label: its kind and its own code."""

    kind: str
    code: str

    def __str__(self):
        return f"{self.kind}:{self.code}"


def thing_named(text: str) -> Thing | None:
    """Return the thing of a text such as `bin:ABCDEFGHJKMN`, or None when it is written otherwise."""
    kind, _colon, typed = text.partition(":")
    code = normalise_code(typed)
    return Thing(kind, code) if code and kind in Label.Thing else None


def rows_of(kind: str) -> QuerySet:
    """Return everything of a kind that can carry a label, with what a label says of it."""
    return {
        BIN: Bin.objects.select_related("polymer", "colour"),
        LOT: Lot.objects.taken().select_related(
            "polymer", "colour", "bin", "filled_by", "delivery"
        ),
        DELIVERY: Delivery.objects.select_related("polymer", "colour", "lot__bin"),
        PART: Part.objects.made().select_related(
            "design", "made_in", "lot__polymer", "lot__colour"
        ),
    }[kind]


def found_things(things: Iterable[Thing]) -> dict[Thing, Model]:
    """Return the rows of things, each once and in their order; what is not there is left out.

    In four queries at most, however many things, and one more where lots were corrected.
    """
    asked = list(dict.fromkeys(things))
    codes = {kind: {thing.code for thing in asked if thing.kind == kind} for kind in Label.Thing}
    wanted = {kind: codes[kind] | (codes[LOT] if kind != BIN else set()) for kind in Label.Thing}
    found = {
        kind: {row.code: row for row in rows_of(kind).filter(code__in=wanted[kind])}
        for kind in Label.Thing
    }
    with_fillers(found[LOT].values())
    settled = {}
    for thing in asked:
        kinds = (DELIVERY, PART, LOT) if thing.kind == LOT else (thing.kind,)
        kind = next((each for each in kinds if thing.code in found[each]), None)
        if kind:
            settled[Thing(kind, thing.code)] = found[kind][thing.code]
    return settled


def parts_of_run(number: str, *, most: int = MOST_THINGS + 1) -> list[Thing]:
    """Return the parts that a run of a number such as R-0042 made, the first first."""
    made = Part.objects.made().filter(bag=None)
    made = made.filter(made_in__reference=run_reference(number))
    return [Thing(PART, code) for code in made.order_by("pk").values_list("code", flat=True)[:most]]


def things_between(kind: str, first: str, last: str, *, most: int = MOST_THINGS + 1) -> list[Thing]:
    """Return the things from one to another, both included; none when either is not known.

    Bins in use go by name, deliveries by number, parts and lots in the order they were made.
    """
    ends = [one_named(kind, text) for text in (first, last)]
    if None in ends:
        return []
    field = "name" if kind == BIN else "pk"
    low, high = sorted(getattr(end, field) for end in ends)
    rows = rows_of(kind).filter(**{f"{field}__gte": low, f"{field}__lte": high})
    rows = rows.filter(retired_at=None) if kind == BIN else rows
    codes = rows.order_by(field).values_list("code", flat=True)[:most]
    return [Thing(kind, code) for code in codes]


def one_named(kind: str, text: str) -> Model | None:
    """Return a thing by its code, a bin by its name too, a delivery by its number too."""
    if kind == BIN:
        return bin_named(text)
    if kind == DELIVERY:
        return delivery_numbered(text)
    return row_coded(rows_of(kind), text)


def name_of(row: Model) -> str:
    """Return what people call a thing: a bin's name, a delivery's number, a part's design."""
    if isinstance(row, Part):
        return f"{row.design.name} × {row.pieces}" if row.pieces > 1 else row.design.name
    return lot_label(row) if isinstance(row, Lot) else str(row)
