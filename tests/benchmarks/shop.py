"""An invented workshop whose work fills the book: streams of one polymer and colour each.

Deliveries go into a raw bin and are topped up, granulated into a flake bin, pressed,
injected and cut; offcuts, rejects and worn parts go round again through the
granulator. A stream works in seasons: at the end of one its bins are cleared, so that
the closures behind lots are of varied sizes, up to tens of thousands of transfers.
"""

from collections import deque

from inventory.actions.postings import Line
from inventory.models import Basis, Lot, Mass, Posting, Transfer
from tests.benchmarks.book import typed

KG = 1_000_000
Kind, Role = Posting.Kind, Transfer.Role
SEASONS = (2_500, 70_000, 12_000, 35_000, 90_000)  # transfers


class Stream:
    """One polymer and colour on its way through the workshop."""

    def __init__(self, book, shop, number: int):
        self.book, self.shop, self.random = book, shop, book.random
        self.material = shop.materials[number]
        self.bins = shop.bins[number]
        self.fills = dict.fromkeys(self.bins)
        self.sheets, self.worn = deque(), deque()
        self.season = number
        self.season_began = 0
        self.spent = []

    def held_mg(self, place: str) -> int:
        """Return what a bin holds."""
        return self.fills[place].held_mg if self.fills[place] else 0

    def weighed(self, mg: int) -> Mass:
        """Return a mass with a scale, or in one of five cases without."""
        if self.random.random() < 0.2:
            return typed(mg)
        return Mass(mg, Basis.WEIGHED, self.shop.scale, self.shop.uncertainty_ug)

    def into(self, place: str, form: str):
        """Return the lot that takes what comes into a bin, and the line for what was left."""
        fill = self.fills[place]
        if fill and fill.kind == Lot.Kind.FILL and not fill.out_mg:
            return fill, []
        lot = self.book.lot(Lot.Kind.FILL, self.material, form, bin=self.bins[place])
        self.fills[place] = lot
        if fill is None:
            return lot, []
        self.spent.append(fill)
        return lot, [Line(fill, lot, Mass(fill.held_mg, Basis.BOOK), Role.REMAINDER)]

    def post(self, kind, lines, content, **more):
        """Post, then let go of what is used up."""
        entry = self.book.post(kind, lines, content, **more)
        for lot in self.spent:
            self.book.finish(lot)
        self.spent = []
        return entry

    def used(self, place: str) -> None:
        """Leave a bin empty once its fill has given all."""
        if self.fills[place] and not self.fills[place].held_mg:
            self.book.finish(self.fills[place])
            self.fills[place] = None

    def receive(self) -> None:
        """Receive a delivery into the raw bin, standing in it when it is empty."""
        book = self.book
        mass = self.weighed(self.random.randint(30 * KG, 120 * KG))
        lot = book.lot(
            Lot.Kind.DELIVERY,
            self.material,
            "whole",
            origin_class=self.random.choice(self.shop.classes),
        )
        is_first = self.fills["raw"] is None
        if is_first:
            lot.bin, self.fills["raw"] = self.bins["raw"], lot
        source = self.random.choice(self.shop.sources)
        line = Line(None, lot, mass, Role.RECEIVED)
        content = {"receipt": {"source": source.name, "net_mg": mass.mg}, "bin": None}
        entry = self.post(Kind.RECEIVE, [line], content, reference=source.name)
        self.shop.write_delivery(lot, mass, source, entry)
        if not is_first:
            target, lines = self.into("raw", "whole")
            lines += [Line(lot, target, Mass(mass.mg, Basis.BOOK), Role.MOVED)]
            content = {"source": lot.code, "bin": self.bins["raw"].code, "mass": None}
            self.post(Kind.MOVE, lines, content, reference=f"{lot.code} > {self.bins['raw'].name}")
            book.finish(lot)

    def clear(self) -> None:
        """End the season: clear the bins and let go of what waits to be cut or ground."""
        self.shop.landmarks.append(self.fills["flake"].pk if self.fills["flake"] else None)
        for place, fill in self.fills.items():
            if fill:
                line = Line(fill, None, Mass(fill.held_mg, Basis.BOOK), Role.DISPOSED)
                content = {"lot": fill.code, "mass": None}
                reason = "stock cleared at the end of the season"
                self.post(Kind.DISPOSE, [line], content, reference=fill.bin.name, reason=reason)
                self.used(place)
        for lot in [*self.sheets, *self.worn]:
            self.book.finish(lot)
        self.sheets.clear()
        self.worn.clear()
        self.season += 1

    def work(self):
        """Yield after each run or receipt, for ever."""
        while True:
            most = self.shop.season_scale * SEASONS[self.season % len(SEASONS)]
            done = 0
            while done < most:
                before = self.book.transfers
                self.next_job()()
                done += self.book.transfers - before
                yield
            self.clear()

    def next_job(self):
        """Return what is most needed now."""
        if self.held_mg("raw") < 60 * KG:
            return self.receive
        if self.held_mg("flake") < 45 * KG or self.held_mg("offcut") > 25 * KG:
            return self.granulate
        if len(self.sheets) >= 6:
            return self.cut
        return self.random.choice((self.press, self.press, self.inject))

    def granulate(self) -> None:
        """Grind raw items, all offcuts and worn parts into flake."""
        job = Job(self, "granulate")
        for _ in range(self.random.randint(1, 3)):
            job.load_from("raw", self.random.randint(8 * KG, 18 * KG))
        if self.held_mg("offcut"):
            job.load_from("offcut", self.held_mg("offcut"))
        if self.worn:
            job.load_part(self.worn.popleft())
        whole = job.lot.in_mg
        buckets = self.random.randint(1, 3)
        for _ in range(buckets):
            job.give("material", whole * 96 // 100 // buckets, place="flake", form="flake")
        if self.random.random() < 0.3:
            job.give("leftover", whole // 100, place="raw", form="whole")
        job.throw_away("dust", whole // 100)
        job.close()

    def press(self) -> None:
        """Press flake into sheets, one to three charges a run."""
        job = Job(self, "press", self.shop.designs["press"])
        for _ in range(self.random.randint(1, 3)):
            pieces = self.random.randint(3, 7)
            whole = 0
            for _ in range(self.random.randint(2, 3)):
                share = min(pieces * 1_500_000, self.held_mg("flake") // 4)
                job.load_from("flake", share)
                whole += share
            lots = job.give_parts(whole * 93 // 100, pieces, "sheet", melted=True)
            for lot in lots:
                if self.random.random() < 0.6 and len(self.sheets) < 40:
                    self.sheets.append(lot)
                else:
                    self.book.finish(lot)
            job.give("offcut", whole * 6 // 100, place="offcut", form="offcut", melted=True)
            job.end_charge()
        job.close()

    def inject(self) -> None:
        """Inject flake into bags of small parts."""
        job = Job(self, "inject", self.shop.designs["inject"])
        for _ in range(self.random.randint(1, 2)):
            job.load_from("flake", min(self.random.randint(3 * KG, 6 * KG), self.held_mg("flake")))
        whole = job.lot.in_mg
        for _ in range(self.random.randint(1, 3)):
            (lot,) = job.give_parts(whole * 28 // 100, 1, "part", melted=True, bag=120)
            self.keep_or_finish(lot)
        job.give("reject", whole * 3 // 100, place="offcut", form="offcut", melted=True)
        job.give("leftover", whole * 5 // 100, place="flake", form="flake")
        job.throw_away("purging", whole * 2 // 100, melted=True)
        job.close()

    def cut(self) -> None:
        """Cut sheets into parts."""
        job = Job(self, "cut", self.shop.designs["cut"])
        for _ in range(self.random.randint(1, 4)):
            job.load_part(self.sheets.popleft())
        whole = job.lot.in_mg
        for lot in job.give_parts(whole * 76 // 100, self.random.randint(4, 12), "part"):
            self.keep_or_finish(lot)
        job.give("offcut", whole * 20 // 100, place="offcut", form="offcut")
        job.throw_away("dust", whole * 3 // 100)
        job.close()

    def keep_or_finish(self, lot) -> None:
        """Let a few parts come back worn; the rest stay in use."""
        if self.random.random() < 0.03:
            self.worn.append(lot)
        else:
            self.book.finish(lot)


class Job:
    """One run: its charges, loads and yields."""

    def __init__(self, stream: Stream, operation: str, design=None):
        self.stream, self.book, self.rows = stream, stream.book, stream.book.rows
        self.operation, self.design = operation, design
        self.pk = self.rows.next_key("workshop_run")
        self.code, self.opened_at = self.book.code(), self.book.at
        self.reference = f"run R-{self.pk:04d}"
        self.lot, self.charge, self.number = None, None, 0

    def start_charge(self, form: str) -> None:
        """Begin the next charge, when the last one was ended."""
        if self.lot is None:
            self.number += 1
            self.lot = self.book.lot(Lot.Kind.CHARGE, self.stream.material, form)
            self.charge = self.rows.next_key("workshop_charge")
            self.rows.add("workshop_charge", self.charge, self.pk, self.number, self.lot.pk)

    def post(self, kind, lines, content, reason=""):
        """Post for this run."""
        content |= {"run": self.code}
        return self.stream.post(kind, lines, content, reference=self.reference, reason=reason)

    def load_from(self, place: str, mg: int) -> None:
        """Load some of a bin; now and then the wrong mass is entered first and reversed."""
        fill = self.stream.fills[place]
        self.start_charge(fill.form)
        if self.stream.random.random() < 0.01 and mg > KG:
            entry = self.load(fill, typed(mg - 1000))
            self.book.reverse(entry, "entered the wrong mass")
        self.load(fill, self.stream.weighed(mg))
        self.stream.used(place)

    def load(self, lot, mass: Mass, pieces: int = 0):
        """Load a mass of a lot."""
        line = Line(lot, self.lot, mass, Role.LOADED)
        content = {"portion": {"lot": lot.code, "mass": mass.plain(), "pieces": None}}
        entry = self.post(Kind.LOAD, [line], content)
        key = self.rows.next_key("workshop_load")
        part = lot.part
        self.rows.add("workshop_load", key, self.charge, entry.pk, lot.pk, part, mass.mg, pieces)
        return entry

    def load_part(self, lot) -> None:
        """Load a whole part."""
        self.start_charge(lot.form)
        self.load(lot, Mass(lot.held_mg, Basis.BOOK), lot.pieces)
        self.book.finish(lot)

    def write_yield(self, entry, kind: str, mg: int, pieces: int, bin) -> None:
        """Write the record of a yield."""
        key = self.rows.next_key("workshop_yield")
        bin_key = bin.pk if bin else None
        self.rows.add("workshop_yield", key, self.charge, entry.pk, kind, mg, pieces, bin_key)

    def give(self, kind: str, mg: int, *, place: str, form: str, melted: bool = False) -> None:
        """Weigh something out into a bin."""
        target, lines = self.stream.into(place, form)
        mass = self.stream.weighed(mg)
        bin = self.stream.bins[place]
        outcome = {"kind": kind, "mass": mass.plain(), "pieces": 0, "bin": bin.code}
        lines += [Line(self.lot, target, mass, kind, melted)]
        entry = self.post(Kind.YIELD, lines, {"outcome": outcome})
        self.write_yield(entry, kind, mg, 0, bin)

    def throw_away(self, kind: str, mg: int, *, melted: bool = False) -> None:
        """Weigh something out that is disposed of."""
        mass = self.stream.weighed(mg)
        outcome = {"kind": kind, "mass": mass.plain(), "pieces": 0, "bin": None}
        lines = [Line(self.lot, None, mass, Role.DISPOSED, melted)]
        entry = self.post(Kind.YIELD, lines, {"outcome": outcome}, reason="not worth keeping")
        self.write_yield(entry, kind, mg, 0, None)

    def give_parts(self, mg: int, pieces: int, form: str, *, melted=False, bag: int = 0) -> list:
        """Weigh parts out, each a lot of its own, or one bag."""
        material, mass_mg = self.stream.material, mg // pieces
        lots = [
            self.book.lot(Lot.Kind.PART, material, form, pieces=bag or 1) for _ in range(pieces)
        ]
        lines = [Line(self.lot, lot, typed(mass_mg), Role.PART, melted) for lot in lots]
        outcome = {"kind": "part", "mass": typed(mass_mg * pieces).plain(), "pieces": pieces}
        entry = self.post(Kind.YIELD, lines, {"outcome": outcome | {"bin": None}})
        self.write_yield(entry, "part", mass_mg * pieces, bag or pieces, None)
        for lot in lots:
            lot.part = self.rows.next_key("products_part")
            at = self.rows.moment(entry.happened_at)
            facts = (self.design.pk, lot.pk, entry.pk, lot.pieces, at)
            self.rows.add("products_part", lot.part, lot.code, *facts)
        return lots

    def end_charge(self) -> None:
        """Book what is left of the charge as a weighing difference."""
        if self.lot.held_mg:
            line = Line(self.lot, None, Mass(self.lot.held_mg, Basis.BOOK), Role.DIFFERENCE)
            self.post(Kind.CLOSE, [line], {"charge": self.number})
        self.lot.closed_at = self.book.at
        self.book.finish(self.lot)
        self.lot = None

    def close(self) -> None:
        """Close the last charge and the run."""
        if self.lot is not None:
            self.end_charge()
        self.stream.shop.write_run(self)
