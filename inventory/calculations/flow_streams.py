"""What the picture of the mass flows shows: boxes in four columns, and the streams between them.

From left to right: what there was and what came in; bins and deliveries; the machines; what the
runs made and what left. What comes back from a machine into bins is a stream against the others.
"""

from collections import defaultdict
from collections.abc import Iterable, Mapping
from typing import NamedTuple

from inventory.calculations.flows import (
    FATES,
    FOUND,
    MACHINE,
    PART,
    STOCK,
    WORN,
    YIELDS,
    Account,
    Move,
    carried_on,
)

BINS, RUNS = "bins", "runs"
STARTS = {STOCK: "stock-start", MACHINE: "machine-start"}
ENDS = {STOCK: "stock-end", MACHINE: "machine-end"}
COLUMNS = (
    (WORN, "machine-start", FOUND, "stock-start", "received"),
    (BINS,),
    (RUNS,),
    (
        *(PART, "material", "offcut", "reject", "leftover", "dust", "purging"),
        *("loss", "difference", "disposed", "count", "shipped", "machine-end", "stock-end"),
    ),
)
INTO = {STOCK: BINS, MACHINE: RUNS}


class Stream(NamedTuple):
    """Mass in mg from a box to a box; a return goes against the others."""

    source: str
    target: str
    mass_mg: int
    is_return: bool = False


def streams_of(opening: Mapping[Account, int], moves: Iterable[Move]) -> list[Stream]:
    """Return the streams of a period, in the order in which they are drawn.

    Every box but the outermost gives what it takes: what stood in the places at the start and
    stands there at the end are boxes of their own. Parts are shown as they are made; what was
    there of them and what became of them, but for worn parts that were loaded, is left to tables.
    """
    moves, sums = list(moves), defaultdict(int)
    for account, mass_mg in opening.items():
        if account.place in INTO:
            sums[STARTS[account.place], INTO[account.place], False] += mass_mg
    for account, mass_mg in carried_on(opening, moves).items():
        if account.place in INTO:
            sums[INTO[account.place], ENDS[account.place], False] += mass_mg
    for move in moves:
        for stream in streams_from(move):
            sums[stream] += move.mass_mg
    order = [key for column in COLUMNS for key in column]
    ranked = sorted(sums, key=lambda each: (each[2], order.index(each[0]), order.index(each[1])))
    return [Stream(*key[:2], sums[key], key[2]) for key in ranked if sums[key] > 0]


def streams_from(move: Move) -> list[tuple[str, str, bool]]:
    """Return the streams that a move is part of, as source, target and whether it is a return."""
    giver, taker = (end and end.place for end in (move.source, move.target))
    if taker in {giver, FOUND}:
        return []
    if giver == MACHINE and taker:
        return came_out(move, taker)
    if taker is None:
        return [(INTO[giver], fate(move), False)] if giver in INTO else []
    source = INTO[giver] if giver in INTO else inlet(move, giver)
    return [(source, INTO.get(taker, PART), False)]


def inlet(move: Move, giver: str | None) -> str:
    """Return the box of what comes into bins, machines or parts from elsewhere."""
    if giver == PART:
        return WORN
    return "received" if move.role == "received" else FOUND


def fate(move: Move) -> str:
    """Return the box of what left the workshop."""
    return move.role if move.role in FATES else "disposed"


def came_out(move: Move, taker: str) -> list[tuple[str, str, bool]]:
    """Return the streams of what came out of a machine: to what it is, and on into a bin."""
    kind = move.role if move.role in YIELDS else "leftover"
    return [(RUNS, kind, False)] + ([(kind, BINS, True)] if taker == STOCK else [])
