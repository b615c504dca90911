"""The mass flows of a period: opening + in - out = closing, for any part of the workshop, to the milligram.

Mass stands in accounts: a place (bins and deliveries, machines, parts, what only a scale found) and
a material there. A move leads mass from an account to another, or in from or out to the outside.
What lies between two accounts of one group is no flow of that group, so each group balances by
itself, and the balances of its parts add up to its own but for what went between them.
"""

from collections import defaultdict
from collections.abc import Callable, Hashable, Iterable, Mapping
from dataclasses import dataclass, field
from typing import NamedTuple

STOCK, MACHINE, PART, FOUND = "stock", "machine", "part", "found"
PLACES = (STOCK, MACHINE, PART, FOUND)
LOADED, WORN, MIXED = "loaded", "worn", "mixed"
YIELDS = ("part", "material", "offcut", "reject", "dust", "purging", "leftover")
INS = ("received", "count", "difference", LOADED, WORN, *YIELDS, "carried", "moved", MIXED)
FATES = ("disposed", "loss", "count", "difference", "shipped")
OUTS = (LOADED, WORN, *YIELDS, "carried", "moved", *FATES, MIXED)
INSIDE = (LOADED, WORN, *YIELDS)


class Account(NamedTuple):
    """Where mass stands and what it is; an unknown polymer is None."""

    place: str
    polymer: Hashable
    colour: Hashable

    @property
    def material(self) -> tuple:
        """Polymer and colour."""
        return self[1:]


class Move(NamedTuple):
    """Mass in mg that went in one step of the period; None is the outside."""

    step: int
    role: str
    source: Account | None
    target: Account | None
    mass_mg: int

    @property
    def line(self) -> str:
        """What a report calls it: its role, but that a part which is loaded is a worn one.

        >>> Move(0, "loaded", Account("part", 1, 1), Account("machine", 1, 1), 5).line
        'worn'
        """
        is_worn = self.role == LOADED and self.source and self.source.place == PART
        return WORN if is_worn else self.role


@dataclass(frozen=True)
class Balance:
    """What a group held at the start, what came in and what went out, by line; all in mg."""

    opening_mg: int = 0
    ins: Mapping[str, int] = field(default_factory=dict)
    outs: Mapping[str, int] = field(default_factory=dict)

    @property
    def in_mg(self) -> int:
        """All that came in."""
        return sum(self.ins.values())

    @property
    def out_mg(self) -> int:
        """All that went out."""
        return sum(self.outs.values())

    @property
    def closing_mg(self) -> int:
        """What it held at the end.

        >>> Balance(5, {"received": 10}, {"disposed": 3}).closing_mg
        12
        """
        return self.opening_mg + self.in_mg - self.out_mg

    @property
    def is_empty(self) -> bool:
        """Whether it held nothing and nothing moved."""
        return not (self.opening_mg or self.ins or self.outs)


def balances(
    moves: Iterable[Move],
    opening: Mapping[Account, int],
    key_of: Callable[[Account], Hashable],
    *,
    is_by_place: bool = True,
) -> dict[Hashable, Balance]:
    """Return the balance of each group; `key_of` gives the group of an account.

    What went to or came from another group of the same place is called mixed, for there it
    became another material; so is all of it where groups are not told apart by place.
    """
    held, ins = defaultdict(int), defaultdict(lambda: defaultdict(int))
    outs = defaultdict(lambda: defaultdict(int))
    for account, mass_mg in opening.items():
        held[key_of(account)] += mass_mg
    for move in moves:
        giver, taker = (end and key_of(end) for end in (move.source, move.target))
        if giver == taker:
            continue
        line = crossing(move, is_by_place=is_by_place)
        if move.source:
            outs[giver][line] += move.mass_mg
        if move.target:
            ins[taker][line] += move.mass_mg
    return {
        key: Balance(held[key], dict(ins[key]), dict(outs[key]))
        for key in [*held, *(key for key in {**ins, **outs} if key not in held)]
    }


def crossing(move: Move, *, is_by_place: bool) -> str:
    """Return what a group calls a move over its edge."""
    if move.source is None or move.target is None:
        return move.line
    is_other_place = move.source.place != move.target.place
    return move.line if is_by_place and is_other_place else MIXED


def inside(moves: Iterable[Move], key_of: Callable[[Account], Hashable]) -> dict:
    """Return the mg of each line that went from place to place, by group: loads by what they
    were taken from, all else by what it became."""
    sums = defaultdict(lambda: defaultdict(int))
    for move in moves:
        if move.source and move.target and move.source.place != move.target.place:
            end = move.source if move.role == LOADED else move.target
            if move.line in INSIDE:
                sums[key_of(end)][move.line] += move.mass_mg
    return {key: dict(lines) for key, lines in sums.items()}


def carried_on(opening: Mapping[Account, int], moves: Iterable[Move]) -> dict[Account, int]:
    """Return what each account holds in mg after some moves; empty accounts are left out."""
    held = defaultdict(int, opening)
    for move in moves:
        if move.source:
            held[move.source] -= move.mass_mg
        if move.target:
            held[move.target] += move.mass_mg
    return {account: mass_mg for account, mass_mg in held.items() if mass_mg}


def led_back(closing: Mapping[Account, int], moves: Iterable[Move]) -> dict[Account, int]:
    """Return what each account held in mg before some moves; empty accounts are left out."""
    mirrored = (move._replace(source=move.target, target=move.source) for move in moves)
    return carried_on(closing, mirrored)
