"""The make-up of many lots at once, in as many queries as that of one."""

from collections.abc import Iterable
from dataclasses import dataclass

from django.core.cache import cache
from django.db import connection

from inventory.calculations.traces import Ordered, ordered_back
from inventory.models import Lot
from inventory.queries.closures import ancestor_edges_of_all
from inventory.queries.foreign_origins import class_words, parts_by_key, passes_before, summed_by
from inventory.queries.traces import DAY, SWEEPS


@dataclass(frozen=True)
class Shares:
    """What a lot consists of: shares from 0 to 1, the largest first; colours with their sRGB value."""

    by_polymer: dict[str, float]
    by_colour: dict[str, float]
    by_origin: dict[str, float]
    srgb: dict[str, str]


def shares_of_lots(lots: Iterable[Lot]) -> dict[int, Shares]:
    """Return the make-up of each lot by polymer, colour and origin class, by primary key.

    In two queries however many lots, and in one when all their sweeps are remembered.
    """
    found = origin_shares_of_lots({lot.pk: lot for lot in lots})
    parts = parts_by_key({pk for shares in found.values() for pk in shares})
    classes = class_words()
    srgb = {each.colour: each.srgb for rows in parts.values() for each, _share in rows}
    return {
        lot: Shares(
            by_polymer=summed_by(shares, parts, lambda each: each.symbol),
            by_colour=summed_by(shares, parts, lambda each: each.colour),
            by_origin=summed_by(shares, parts, lambda each: classes[each.origin_class]),
            srgb=srgb,
        )
        for lot, shares in found.items()
    }


def origin_shares_of_lots(lots: dict[int, Lot]) -> dict[int, dict[int, float]]:
    """Return the share of each lot from outside in each lot, remembered as `swept_back` does."""
    return swept_lots("origins", lots)


def passes_of_lots(lots: Iterable[Lot]) -> dict[int, dict[int, float]]:
    """Return the shares of each lot by melt passes, by primary key; in two queries, or in none."""
    return swept_lots("passes", {lot.pk: lot for lot in lots})


def swept_lots(name: str, lots: dict[int, Lot]) -> dict[int, dict]:
    """Return the answer of one sweep for each lot, remembered as `swept_back` does."""
    keys = {pk: f"{name}/{lot.code}/{lot.filled_by_id}/{lot.in_mg}" for pk, lot in lots.items()}
    known = {} if connection.in_atomic_block else cache.get_many(keys.values())
    missing = [pk for pk in lots if keys[pk] not in known]
    if missing:
        fresh = swept(missing, name)
        known |= {keys[pk]: shares for pk, shares in fresh.items()}
        if not connection.in_atomic_block:
            cache.set_many({keys[pk]: known[keys[pk]] for pk in missing}, DAY)
    return {pk: known[keys[pk]] for pk in lots}


def swept(keys: list[int], name: str = "origins") -> dict[int, dict]:
    """Return the answer of one sweep by lot; a lot filled from one lot alone has that lot's origins.

    The parts of one charge are therefore swept once. Passes are swept for each lot, since the
    last transfer may have melted.
    """
    ordered = ordered_back(ancestor_edges_of_all(keys))
    stands_for = {pk: only_source(pk, ordered) if name == "origins" else pk for pk in keys}
    before = (passes_before(ordered),) if name == "passes" else ()
    answers = {pk: SWEEPS[name](pk, ordered, *before) for pk in set(stands_for.values())}
    return {pk: answers[stands_for[pk]] for pk in keys}


def only_source(pk: int, ordered: Ordered) -> int:
    """Return the lot at the end of the chain that alone filled a lot, or the lot itself."""
    while True:
        sources = {edge[0] for edge in ordered.groups.get(pk, ())}
        if len(sources) != 1 or None in sources:
            return pk
        (pk,) = sources
