"""A naive bookkeeper: the oracle of the ledger's histories.

It knows no lots, counters or postings. It keeps for each place (a bin, a part, what is in
a machine) how many mg of each origin are in it, as exact fractions. It keeps every act as a list
of flows and adds all of them up whenever it is asked; undoing an act is forgetting it.
"""

from collections import defaultdict
from fractions import Fraction
from typing import NamedTuple

OUT = "outside"


class Flow(NamedTuple):
    """Mass going from a place or an origin (its code) to a place."""

    giver: tuple
    taker: tuple
    mg: int


class Bookkeeper:
    def __init__(self):
        self.acts: dict = {}  # flows by the id of the act, in order
        self.about: dict = {}  # (polymer, colour) of each origin

    def write(self, key, flows) -> None:
        self.acts[key] = [flow for flow in flows if flow.mg]

    def forget(self, key) -> None:
        del self.acts[key]

    def places(self) -> dict:
        """Return what every place holds, origin by origin."""
        places = defaultdict(lambda: defaultdict(Fraction))
        for flows in self.acts.values():
            for giver, taker, mg in flows:
                carry(places, giver, taker, mg)
        return places

    def held(self, place) -> int:
        return total(self.places()[place])

    def content(self, place) -> dict:
        return self.places()[place]

    def total_in(self) -> int:
        flows = [flow for flows in self.acts.values() for flow in flows]
        return sum(flow.mg for flow in flows if flow.giver[0] == "origin")

    def total_out(self) -> int:
        return self.held((OUT,))

    def material(self, place) -> tuple:
        """Return the polymer and colour of what a place holds; several colours are "mixed"."""
        about = {self.about[origin] for origin in self.content(place)}
        polymers, colours = {polymer for polymer, _ in about}, {colour for _, colour in about}
        assert len(polymers) <= 1, f"polymers met in {place}"
        colour = colours.pop() if len(colours) == 1 else "mixed"
        return (polymers.pop() if polymers else None), colour

    def gave(self, place) -> bool:
        return any(flow.giver == place for flows in self.acts.values() for flow in flows)

    def took(self, place) -> int:
        return sum(flow.mg for flows in self.acts.values() for flow in flows if flow.taker == place)


def carry(places, giver, taker, mg: int) -> None:
    """Take a well-mixed share out of one place and add it to another."""
    if giver[0] == "origin":
        places[taker][giver[1]] += mg
        return
    share = Fraction(mg, total(places[giver]))
    assert share <= 1, f"{giver} would give more than it holds"
    for origin, there in list(places[giver].items()):
        places[taker][origin] += there * share
        places[giver][origin] -= there * share
        if not places[giver][origin]:
            del places[giver][origin]


def total(content) -> int:
    """Return the whole milligrams in a content; fractions of origins always add up to them."""
    mg = sum(content.values(), Fraction(0))
    assert mg.denominator == 1
    return mg.numerator
