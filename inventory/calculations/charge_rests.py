"""What is left of a charge after its yields, told again when a load or a yield was mended.

What a charge carried into the next one and what closed it were never weighed: they are what
was left, so they follow. Where the yields weigh more than was loaded, a gain of unknown
origin fills the gap as far as the scales explain it, as at the weighing out itself.
"""

from collections.abc import Hashable, Sequence
from dataclasses import dataclass
from math import hypot

from inventory.calculations.corrections import (
    CARRIED,
    DIFFERENCE,
    GAIN,
    Book,
    Broken,
    Flow,
    NewLot,
)
from inventory.calculations.masses import split_mass

COVERAGE = 2


@dataclass(frozen=True)
class Rest:
    """What a charge took and gave; masses in mg. A gap below zero is mass that nobody loaded."""

    in_mg: int
    yielded_mg: int
    gained_mg: int
    expanded_mg: float

    @property
    def gap_mg(self) -> int:
        """What was taken and not weighed out, or below zero what was weighed out beyond."""
        return self.in_mg - self.yielded_mg - self.gained_mg

    @property
    def is_within(self) -> bool:
        """Whether the weighings explain the gap (GUM, k = 2)."""
        return abs(self.gap_mg) <= self.expanded_mg


def most_gained(masses_mg: Sequence[int]) -> int:
    """Return how much of some masses in mg a gain can bring, so that a milligram of each is of the charge."""
    return sum(mg - 1 for mg in masses_mg)


def shared_gain(masses_mg: Sequence[int], gain_mg: int) -> list[int]:
    """Return what of each mass only the scale found, in mg.

    It is unknown in the last piece alone, where that still is of the charge by half or more. Else the
    pieces share it, and each keeps a milligram that the charge gave: they have all come out of it,
    so none has come from nowhere. Only where the charge held less than that is all of a piece a gain.

    >>> shared_gain([1500, 1500], 700), shared_gain([1500, 1500], 1000), shared_gain([2, 2], 3)
    ([0, 700], [500, 500], [1, 2])
    >>> shared_gain([1500, 1500], -7), shared_gain([], 0)
    ([0, 0], [])
    """
    if gain_mg <= 0 or not masses_mg:
        return [0] * len(masses_mg)
    if gain_mg <= masses_mg[-1] // 2:
        return [0] * (len(masses_mg) - 1) + [gain_mg]
    if gain_mg <= most_gained(masses_mg):
        return split_mass(gain_mg, [mg - 1 for mg in masses_mg])
    left_mg, found = sum(masses_mg) - gain_mg, []
    for mg in masses_mg:
        given_mg = min(mg, max(0, left_mg))
        left_mg -= given_mg
        found.append(mg - given_mg)
    return found


def is_gain(end) -> bool:
    """Whether a lot is a gain that a retold story made."""
    return isinstance(end, NewLot) and end.kind == GAIN


class ChargeBook:
    """The steps of one charge; `gains` are the lots that stand for what only a scale found."""

    def __init__(self, charge: Hashable, book: Book, gains: set, closings: set[int]):
        self.charge, self.book, self.gains, self.closings = charge, book, gains, closings

    def yields(self) -> list[int]:
        """Return the places at which it was weighed out, in order."""
        return [
            place
            for place in sorted(self.book)
            if place not in self.closings
            and any(f.source == self.charge and f.role != CARRIED for f in self.book[place])
        ]

    def is_gained(self, flow: Flow) -> bool:
        """Whether a flow brings what only the scale found."""
        return flow.source in self.gains or is_gain(flow.source)

    def rest(self) -> Rest:
        """Return what it took, what was weighed out of it and how well that is known."""
        flows = [(place, f) for place in self.book for f in self.book[place]]
        yields = set(self.yields())
        ours = [(place, f) for place, f in flows if self.charge in f[:2]]
        given = [(place, f) for place, f in ours if f.source == self.charge]
        gained = [f for place, f in flows if place in yields and self.is_gained(f)]
        return Rest(
            in_mg=sum(f.mass_mg for _place, f in ours if f.target == self.charge),
            yielded_mg=sum(f.mass_mg for place, f in given if place in yields),
            gained_mg=sum(f.mass_mg for f in gained),
            expanded_mg=COVERAGE * hypot(*(f.uncertainty_ug / 1000 for _place, f in ours)),
        )

    def settle(self) -> Book:
        """Return the steps that change so that nothing is given that was not taken.

        Raises Broken `short` when more was weighed out than the scales explain.
        """
        rest = self.rest()
        missing_mg = max(0, rest.yielded_mg + rest.gained_mg - rest.in_mg)
        changed = {}
        if missing_mg > rest.expanded_mg:
            places = self.yields()
            raise Broken("over", self.charge, places[-1] if places else 0, missing_mg)
        if missing_mg != rest.gained_mg:
            changed |= self.with_gain(missing_mg)
        left_mg = max(0, rest.in_mg - rest.yielded_mg - rest.gained_mg)
        return changed | self.carried(left_mg)

    def carried(self, left_mg: int) -> Book:
        """Return the step that carried what was left into the next charge, with what is left now."""
        for place in sorted(self.book):
            flows = self.book[place]
            ours = [f for f in flows if f.source == self.charge and f.role == CARRIED]
            if ours and ours[0].mass_mg != left_mg:
                kept = [f for f in flows if f not in ours]
                follow = [ours[0]._replace(mass_mg=left_mg)] if left_mg else []
                return {place: tuple(kept + follow)}
        return {}

    def with_gain(self, gain_mg: int) -> Book:
        """Return its yields so that the last ones bring that gain and no other does."""
        changed = {place: self.without_gain(place) for place in self.yields()}
        left_mg = gain_mg
        for place in sorted(changed, reverse=True):
            flows, taken_mg = self.gaining(place, changed[place], left_mg)
            changed[place], left_mg = flows, left_mg - taken_mg
        if left_mg:
            raise Broken("over", self.charge, max(changed, default=0), left_mg)
        return {
            place: flows for place, flows in changed.items() if set(flows) != set(self.book[place])
        }

    def without_gain(self, place: int) -> tuple[Flow, ...]:
        """Return a yield as if the charge had given all of it, what was of a gain alone too."""
        flows = self.book[place]
        extra = {f.target: f.mass_mg for f in flows if self.is_gained(f)}
        ours = [f for f in flows if f.source == self.charge]
        kept = [f for f in flows if not self.is_gained(f) and f.target not in self.gains]
        alone = extra.keys() - {f.target for f in ours}
        told = [
            f._replace(mass_mg=f.mass_mg + extra.get(f.target, 0)) if f.source == self.charge else f
            for f in kept
            if not is_gain(f.target)
        ]
        return (*told, *(ours[0]._replace(target=t, mass_mg=extra[t]) for t in extra if t in alone))

    def gaining(self, place: int, flows: tuple[Flow, ...], left_mg: int):
        """Return a yield with as much of a gain as it can bring, and how much that is."""
        gain = self.gain_at(place)
        ours = [f for f in flows if f.source == self.charge and f.target is not None]
        masses = [f.mass_mg for f in ours]
        found = dict(zip(ours, shared_gain(masses, min(left_mg, most_gained(masses))), strict=True))
        told = [f._replace(mass_mg=f.mass_mg - found.get(f, 0)) for f in flows]
        brought = [Flow(gain, f.target, mg, DIFFERENCE) for f, mg in found.items() if mg]
        taken_mg = sum(f.mass_mg for f in brought)
        into = [Flow(None, gain, taken_mg, DIFFERENCE)] if taken_mg else []
        return tuple(told + brought + into), taken_mg

    def gain_at(self, place: int) -> Hashable:
        """Return the gain of a yield: the one of the record, or a new one."""
        known = [f.source for f in self.book[place] if self.is_gained(f)]
        return known[0] if known else NewLot(GAIN, place, self.charge)
