"""Bags among the histories, which give pieces of theirs, beside the same naive bookkeeper."""

from hypothesis import strategies as st
from hypothesis.stateful import initialize, precondition, rule

from products.actions.bags import divide_bag
from products.models import Part
from tests.factories.inventory import make_act
from tests.journeys.bookkeeper import Flow
from tests.journeys.counting import CountedHistories
from tests.journeys.histories import pick, picks


class DividedHistories(CountedHistories):
    """Histories in which every other press makes bags, and bags give pieces."""

    def design_of(self, operation):
        bags = self.shop["bags"] if len(self.runs) % 2 == 0 else self.shop["design"]
        return bags if operation == "press" else None

    @initialize(at=picks)
    def begin_the_day(self, at):
        """Parts are rare among random acts, so the day begins with a bag of three."""
        super().begin_the_day(at)
        self.load(which=0, what=at, share=500)
        if self.charged():
            self.weigh_out(which=0, what=0, at=at, share=333, pieces=3)

    def bags(self):
        """The places of parts that hold several pieces."""
        parts = Part.objects.select_related("lot").filter(pieces__gt=1)
        several = {("part", part.code) for part in parts if part.pieces_left > 1}
        return [place for place in self.stock() if place in several]

    @precondition(lambda self: self.bags())
    @rule(what=picks, pieces=st.integers(0, 3))
    def divide(self, what, pieces):
        place, act = pick(what, self.bags()), make_act(self.by)
        bag = Part.objects.select_related("lot").get(code=place[1])
        left, held = bag.pieces_left, self.books.held(place)
        mg = (2 * held * pieces + left) // (2 * left)  # their share, halves of a milligram up
        expected = 0 < pieces < left and mg > 0 and not self.on_hold(place)
        part = self.attempt(expected, lambda: divide_bag(bag=bag, pieces=pieces, act=act))
        if part:
            self.books.write(act.key, [Flow(place, ("part", part.code), mg)])
            self.tried["divided"] += 1
