"""A naive bookkeeper: the oracle of the ledger's histories.

It knows no lots, counters or postings. It keeps for each place (a bin, a part, what is in
a machine) how many mg of each origin are in it, as exact fractions. It keeps every act as a list
of flows and adds all of them up whenever it is asked; undoing an act is forgetting it.
"""

from collections import defaultdict
from fractions import Fraction
from typing import NamedTuple

OUT = "outside"


class TooMuch(AssertionError):  # noqa: N818 (named for what was found)
    """A place would give more than it holds."""


class Flow(NamedTuple):
    """Mass going from a place or an origin (its code) to a place; `is_rest`: all that was left there."""

    giver: tuple
    taker: tuple
    mg: int
    is_rest: bool = False

    @property
    def is_closing(self) -> bool:
        """Whether it closes a charge, which is looked at again even when nothing was left."""
        return self.is_rest and self.giver[0] == "charge" and self.taker == (OUT,)


class Bookkeeper:
    def __init__(self):
        self.acts: dict = {}  # flows by the id of the act, in order
        self.about: dict = {}  # (polymer, colour) of each origin

    def write(self, key, flows) -> None:
        self.acts[key] = [flow for flow in flows if flow.mg or flow.is_closing]

    def forget(self, key) -> None:
        del self.acts[key]

    def places(self) -> dict:
        """Return what every place holds, origin by origin."""
        places = defaultdict(lambda: defaultdict(Fraction))
        for flow in self.flows():
            carry(places, *flow[:3])
            self.check(places, flow.taker)
        return places

    def flows(self) -> list:
        """Return every flow that moved something."""
        return [flow for flows in self.acts.values() for flow in flows if flow.mg]

    def there(self) -> dict:
        """Return what each giver of a rest held, by act, when the act's turn came."""
        places, found = defaultdict(lambda: defaultdict(Fraction)), {}
        for key, flows in self.acts.items():
            found |= {(key, f.giver): total(places[f.giver]) for f in flows if f.is_rest}
            for flow in flows:
                carry(places, *flow[:3])
        return found

    def tell_anew(self, before: dict) -> None:
        """Give every rest what is left when its turn comes, where its place held something else `before`.

        A rest of nothing is none.
        """
        places = defaultdict(lambda: defaultdict(Fraction))
        for key, flows in self.acts.items():
            same = {f.giver for f in flows if before.get((key, f.giver)) == total(places[f.giver])}
            told = []
            for flow in flows:
                is_left = flow.is_rest and flow.giver not in same
                left = total(places[flow.giver]) if is_left else max(flow.mg, 0)
                told.append(flow._replace(mg=left))
                carry(places, *told[-1][:3])
                self.check(places, flow.taker)
            self.write(key, told)

    def check(self, places, taker) -> None:
        """Polymers never meet, at any moment."""
        if taker != (OUT,):
            assert len({self.about[origin][0] for origin in places[taker]}) <= 1

    def held(self, place) -> int:
        return total(self.places()[place])

    def content(self, place) -> dict:
        return self.places()[place]

    def total_in(self) -> int:
        return sum(flow.mg for flow in self.flows() if flow.giver[0] == "origin")

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
        return any(flow.giver == place for flow in self.flows())


def carry(places, giver, taker, mg: int) -> None:
    """Take a well-mixed share out of one place and add it to another."""
    if giver[0] == "origin":
        places[taker][giver[1]] += mg
        return
    if not mg:
        return
    if mg > total(places[giver]):
        raise TooMuch(f"{giver} would give more than it holds")
    share = Fraction(mg, total(places[giver]))
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
