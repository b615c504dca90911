"""A workshop whose offcuts go round, through the real actions; the same for the same seed."""

from random import Random

from inventory.actions.lots import move_lot
from inventory.actions.postings import reverse_posting
from inventory.models import Lot, Mass
from inventory.queries.lots import open_lot_in
from tests.factories.inventory import KG, BinFactory, colour, make_act, make_delivery
from tests.factories.workshop import MachineFactory, load, make_run, weigh_out
from workshop.actions.runs import close_run

PLACES = ("raw", "flake", "offcut")


class Loop:
    """Three bins, a press and a granulator; each round presses, grinds the offcuts and tops up."""

    def __init__(self, by, seed: int):
        self.by, self.random = by, Random(seed)
        mixed = colour("mixed")
        self.bins = {place: BinFactory(colour=mixed, capacity_mg=10**9) for place in PLACES}
        self.press = MachineFactory(kind="press")
        self.granulator = MachineFactory(kind="granulator")

    def go_round(self, rounds: int) -> None:
        self.deliver()
        for _ in range(rounds):
            self.make_parts()
            self.grind()
            self.deliver()
            self.move_and_think_again()

    def some(self, place: str) -> int:
        """An odd number of mg, at most half of what a bin holds."""
        lot = open_lot_in(self.bins[place])
        return self.random.randrange(1, lot.held_mg // 2) if lot else 0

    def deliver(self) -> None:
        name = self.random.choice(["blue", "red", "green"])
        mg = self.random.randrange(5 * KG, 9 * KG)
        make_delivery(self.by, bin=self.bins["raw"], colour=name, net_mg=mg)

    def make_parts(self) -> None:
        run = make_run(self.by, machine=self.press)
        mg = 0
        for place in ("raw", "flake"):
            if portion := self.some(place):
                load(run, open_lot_in(self.bins[place]), self.by, portion)
                mg += portion
        weigh_out(run, self.by, "part", mg // 2, pieces=2)
        weigh_out(run, self.by, "leftover", mg // 9, bin=self.bins["raw"])
        weigh_out(run, self.by, "offcut", mg // 3, bin=self.bins["offcut"])
        close_run(run=run, act=make_act(self.by, "swept up"))

    def grind(self) -> None:
        run = make_run(self.by, "granulate", machine=self.granulator)
        mg = self.some("offcut")
        load(run, open_lot_in(self.bins["offcut"]), self.by, mg)
        part = Lot.objects.filter(kind="part").open().order_by("pk").first()
        load(run, part, self.by)
        weigh_out(run, self.by, "material", (mg + part.held_mg) // 2, bin=self.bins["flake"])
        weigh_out(run, self.by, "dust", mg // 7 + 1, reason="swept up")
        close_run(run=run, act=make_act(self.by, "dust"))

    def move_and_think_again(self) -> None:
        flake, raw = self.bins["flake"], open_lot_in(self.bins["raw"])
        mass = Mass(self.some("raw"))
        posting = move_lot(lot=raw, bin=flake, mass=mass, act=make_act(self.by))
        if self.random.random() < 0.5:
            reverse_posting(posting=posting, act=make_act(self.by, "wrong bin"))
