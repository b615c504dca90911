"""Rounds of counting in the invented workshop: one finished, one that somebody may go on with."""

from inventory.actions.counts import Accepted, count_bin
from inventory.actions.rounds import RoundPlan, finish_round, skip_bin, start_round
from inventory.models import Lot, Reading, Round, Scale, Stop
from workshop.management.demo.floor import KG, Floor

SPILT_MG, FOUND_MG = 180_000, 140_000
FLOOR_SCALE_FROM_MG = 15 * KG


def count_around(floor: Floor) -> None:
    """Count the flake rack from end to end, and begin with the offcut wall."""
    rack = start_round(
        plan=RoundPlan(place="flake rack", note="invented stocktaking"), act=floor.act("lead")
    )
    for number, stop in enumerate(stops_of(rack), 1):
        visit(floor, rack, stop, number)
    finish_round(walk=rack, act=floor.act("lead"))
    wall = start_round(plan=RoundPlan(place="offcut wall"), act=floor.act("operator-two"))
    for stop in stops_of(wall)[:2]:
        visit(floor, wall, stop, 1)


def stops_of(walk: Round) -> list[Stop]:
    """Return the stops of a round in the order of its route."""
    return list(walk.stops.select_related("round", "bin").order_by("position"))


def visit(floor: Floor, walk: Round, stop: Stop, number: int) -> None:
    """Count a bin, or pass it over: some have lost something, some hold more."""
    fill = Lot.objects.open().with_hold().filter(bin=stop.bin).first()
    if number % 8 == 0 or (fill and fill.is_held):
        why = "on hold" if fill and fill.is_held else "under the press, not to be moved today"
        skip_bin(walk=walk, bin=stop.bin, act=floor.act("operator", why))
        return
    count(floor, stop, fill, change_of(number, fill))


def change_of(number: int, fill: Lot | None) -> int:
    """Return what the bin holds more than the book says, in mg."""
    if fill is None or fill.held_mg <= KG:
        return 0
    return {3: -SPILT_MG, 5: FOUND_MG}.get(number % 9, 0)


def count(floor: Floor, stop: Stop, fill: Lot | None, change_mg: int) -> None:
    """Count a bin as the scale that carries it would show it."""
    held_mg = fill.held_mg if fill else 0
    shown_mg = held_mg + change_mg + stop.bin.tare_mg
    name = "floor scale" if shown_mg >= FLOOR_SCALE_FROM_MG else "bench scale"
    scale = Scale.objects.get(name=name)
    step = scale.resolution_mg
    reading = Reading(round(shown_mg / step) * step, scale)
    seen = Accepted(fill.code if fill else "", held_mg, is_confirmed=True)
    why = {-SPILT_MG: "swept up below the rack", FOUND_MG: "more left than the run had booked"}
    act = floor.act(floor.operator(), why.get(change_mg, ""))
    count_bin(bin=stop.bin, reading=reading, accepted=seen, act=act, stop=stop)
