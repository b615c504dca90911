"""A naive bookkeeper of mass flows: every transfer is replayed one by one, in Python."""

from collections import Counter
from datetime import datetime, time

from django.utils import timezone

from inventory.models import Lot, Transfer

PLACES = {
    "delivery": "stock",
    "fill": "stock",
    "charge": "machine",
    "part": "part",
    "gain": "found",
}


def standing() -> list[tuple]:
    """Every transfer that is no reversal and has none, with the moment it happened."""
    rows = list(
        Transfer.objects.order_by("pk").values_list(
            "pk", "reverses", "posting__happened_at", "source", "target", "role", "mass_mg"
        )
    )
    undone = {row[1] for row in rows if row[1]}
    return [row[2:] for row in rows if row[1] is None and row[0] not in undone]


def facts() -> dict:
    """Place, polymer and colour of every lot."""
    rows = Lot.objects.values_list("pk", "kind", "polymer", "colour")
    return {pk: (PLACES[kind], polymer, colour) for pk, kind, polymer, colour in rows}


def began(day) -> datetime:
    """Midnight in the workshop."""
    return timezone.make_aware(datetime.combine(day, time.min))


def held_at(day, lots=None) -> dict:
    """What each account held when a day began, in mg."""
    lots, held = lots or facts(), Counter()
    for when, source, target, _role, mass_mg in standing():
        if when < began(day):
            held[lots.get(source)] -= mass_mg
            held[lots.get(target)] += mass_mg
    return {key: mg for key, mg in held.items() if mg and key is not None}


def through_the_door(start, end) -> tuple[Counter, Counter]:
    """What came in from outside and went out by role, in mg, from a day on and before another."""
    ins, outs = Counter(), Counter()
    for when, source, target, role, mass_mg in standing():
        if began(start) <= when < began(end):
            ins[role] += 0 if source else mass_mg
            outs[role] += 0 if target else mass_mg
    return +ins, +outs


def made_between(start, end, role: str) -> int:
    """What came out of machines in a role, in mg."""
    lots = facts()
    return sum(
        row[4]
        for row in standing()
        if began(start) <= row[0] < began(end)
        and row[3] == role
        and row[1]
        and row[2]
        and lots[row[1]][0] == "machine"
        and lots[row[2]][0] != "machine"
    )
