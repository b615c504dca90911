"""Holds: how one is written, and that a recall stops what an act gives back to a lot."""

from collections.abc import Iterable

from inventory.actions.acts import Act
from inventory.models import Hold, Lot, Recall
from inventory.queries.recalls import whereabouts


def place_hold(lot: Lot, reason: str, act: Act) -> Hold:
    """Write a hold with the role of who placed it."""
    return Hold.objects.create(lot=lot, **placed(reason, act))


def place_holds(keys: Iterable[int], reason: str, act: Act) -> list[Hold]:
    """Write a hold on each of many lots, by primary key, with the role of who placed them."""
    facts = placed(reason, act)
    return Hold.objects.bulk_create([Hold(lot_id=pk, **facts) for pk in keys])


def placed(reason: str, act: Act) -> dict:
    """Return why, when, by whom and in which role a hold is placed."""
    return {
        "reason": reason,
        "placed_at": act.at,
        "placed_by": act.by,
        "placed_role": act.role,
    }


def hold_what_came_back(keys: Iterable[int], act: Act) -> None:
    """Let every recall that still stands stop what it looks for in lots that an act gave back to, or took from.

    A lot that was empty when the recall was started, or held none or too little of it by the book of
    then, has no hold of it; a reversal or a correction may change that. What was lifted singly stays lifted.
    """
    keys = set(keys)
    for recall in Recall.objects.filter(holds__in=Hold.objects.open()).distinct().order_by("pk"):
        stopped = set(recall.holds.values_list("lot", flat=True))
        if not keys - stopped:
            continue
        found = whereabouts(recall.lots.all(), least_permille=recall.least_permille)
        back = keys - stopped
        escaped = [holder.pk for holder in found.holders if holder.pk in back]
        recall.holds.add(*place_holds(escaped, recall.reason, act))
