"""Two open days of the invented year: one that is settled, and one that goes on now.

Their ids and their chance are their own, so that the rest of the story stays what it is.
"""

from collections import Counter
from dataclasses import replace

from inventory.models import Lot
from workshop.actions.machines import log_purge
from workshop.actions.settlements import Drawn
from workshop.actions.visits import end_piece, settle_visit, start_piece, start_visit
from workshop.actions.yields import Outcome
from workshop.management.demo.floor import Floor, design
from workshop.management.demo.shots import Clock
from workshop.models import Machine, Run, Visit
from workshop.queries.visits import offers_of, pieces_by_lot

WHAT, MACHINE_KIND = "Soap dish", "injection"
COLOURS, PIECES = 3, 9
PURGING_MG, WITH_SPRUE = 30_000, 1.04


def hold_open_day(floor: Floor) -> None:
    """Let some people make a piece each, and settle what the bins gave."""
    visit = let_make(floor, PIECES, seed=1)
    clock = Clock(floor.now, floor.people["operator"], seed=2)
    groups = pieces_by_lot(visit)
    drawn = tuple(drawn_from(floor, lot, len(made)) for lot, made in groups.items())
    act = replace(clock.act(900), reason="run clear between the colours, too mixed to keep")
    settle_visit(visit=visit, drawn=drawn, act=act)


def drawn_from(floor: Floor, lot: Lot, pieces: int) -> Drawn:
    """Return what was taken from a bin for so many pieces, and what of it is purging."""
    taken_mg = pieces * design(WHAT).nominal_mass_mg * WITH_SPRUE + PURGING_MG
    purging = Outcome("purging", floor.weighed(PURGING_MG))
    return Drawn(bin=lot.bin, mass=floor.weighed(taken_mg), purging=purging)


def let_make(floor: Floor, pieces: int, seed: int) -> Visit:
    """Start a visit at a machine that is free, and let so many people make a piece, in turn by colour."""
    clock = Clock(floor.now, floor.people["operator-two"], seed=seed)
    busy = Run.objects.filter(closed_at=None).values("machine")
    machine = Machine.objects.filter(kind=MACHINE_KIND).exclude(pk__in=busy).earliest("pk")
    if machine.last_polymer:
        log_purge(machine=machine, act=replace(clock.act(), reason="run clear for the visitors"))
    visit = start_visit(design=design(WHAT), machine=machine, act=clock.act(300))
    lots = colours_for(visit)
    for number in range(pieces):
        lot = lots[number % len(lots)]
        start_piece(visit=visit, lot=lot, act=clock.act(clock.about(40)))
        end_piece(visit=visit, act=clock.act(clock.about(75)))
    return visit


def colours_for(visit: Visit) -> list[Lot]:
    """Return a few lots of the polymer that most bins hold, each of another colour."""
    lots = [offer.lot for offer in offers_of(visit)]
    polymer = Counter(lot.polymer for lot in lots).most_common(1)[0][0]
    by_colour = {lot.colour: lot for lot in lots if lot.polymer == polymer}
    return list(by_colour.values())[:COLOURS]
