"""The machine that writes random histories of the ledger and compares them with a naive bookkeeper."""

from collections import Counter, defaultdict
from graphlib import TopologicalSorter

from django.core.exceptions import ValidationError
from django.db import transaction
from hypothesis import strategies as st
from hypothesis.stateful import (
    RuleBasedStateMachine,
    initialize,
    invariant,
    precondition,
    rule,
)

from inventory.actions.deliveries import receive_delivery
from inventory.actions.lots import dispose_lot, hold_lot, lift_hold, move_lot
from inventory.actions.postings import reverse_posting
from inventory.models import Lot, Mass, Posting, Transfer
from inventory.queries.lots import open_lot_in
from inventory.queries.traces import origins_of
from inventory.queries.verification import first_fault
from products.models import Part
from tests.factories.book import written
from tests.factories.inventory import (
    KG,
    make_act,
    make_receipt,
)
from tests.journeys.bookkeeper import OUT, Bookkeeper, Flow
from workshop.actions.charges import Portion, carry_over, load_run
from workshop.actions.runs import RunPlan, close_run, open_run, reopen_run
from workshop.actions.yields import Outcome, yield_from_run
from workshop.models import Charge

picks = st.integers(0, 999)
symbols, names = st.sampled_from(["PE-HD", "PP"]), st.sampled_from(["blue", "red"])
shares = st.sampled_from([500, 250, 1000, 90, 333, 1001])  # per mille of what is there
YIELDS = {"press": ("part", "offcut", "leftover"), "granulate": ("material", "dust", "leftover")}


def pick(number: int, things):
    """Return one of the things, in their order, by any number."""
    things = list(things)
    return things[number % len(things)]


def book_load(run, portion, act):
    """Load without being asked back: the masses here are meant to be odd."""
    return load_run(run=run, portion=portion, act=act, is_confirmed=True)


def book_yield(run, outcome, act):
    """Weigh out without being asked back."""
    return yield_from_run(run=run, outcome=outcome, act=act, is_confirmed=True)


def evenly(mg: int, pieces: int) -> list[int]:
    """Return the mass of each piece; the first ones get what does not divide."""
    return [mg // pieces + (piece < mg % pieces) for piece in range(pieces)]


class Histories(RuleBasedStateMachine):
    """Every rule tries one act, wise or not; `attempt` compares the answer with what was to be expected."""

    tried = Counter()  # answers over all histories

    def __init__(self):
        super().__init__()
        self.example = transaction.atomic()
        self.example.__enter__()
        self.books, self.requests = Bookkeeper(), []
        self.runs, self.closings, self.last_polymer = {}, {}, {}
        self.yielded, self.made_of = {}, {}
        self.by, self.source = self.shop["by"], self.shop["source"]

    def teardown(self):
        try:
            self.compare_origins()
            assert first_fault() is None
        finally:
            transaction.set_rollback(True)
            self.example.__exit__(None, None, None)

    # What is there

    def bin_of(self, place):
        return self.shop["bins"][place[1]] if place[0] == "bin" else None

    def lot_at(self, place):
        bin = self.bin_of(place)
        return open_lot_in(bin) if bin else Lot.objects.get(code=place[1])

    def stock(self):
        """Every place outside a machine that holds something."""
        places = self.books.places()
        return [place for place in places if place[0] in {"bin", "lot", "part"} and places[place]]

    def on_hold(self, place):
        lot = self.lot_at(place)
        return bool(lot) and lot.holds.open().exists()

    def fits(self, bin, material, mg):
        """Whether a bin should take it."""
        place, room = ("bin", bin.name), bin.capacity_mg
        there, only = self.books.held(place), (bin.polymer and bin.polymer.symbol)
        wanted = bin.colour.name if bin.colour else None
        is_wrong = only not in {None, material[0]} or wanted not in {None, "mixed", material[1]}
        if is_wrong or there + mg > room or self.on_hold(place):
            return False
        held = self.books.material(place)
        mixes = wanted == "mixed" or held[1] == material[1]
        return not there or (held[0] == material[0] and mixes)

    def charged(self):
        """The codes of runs that were loaded."""
        return [code for code, run in self.runs.items() if self.charges(run)]

    def charges(self, run):
        """The places in a machine that took something that stands, oldest first."""
        taken = {flow.taker for flow in self.books.flows()}
        return sorted(place for place in taken if place[:2] == ("charge", run.code))

    def design_of(self, operation):
        return self.shop["design"] if operation == "press" else None

    def attempt(self, expected, call):
        """Do it; a refusal must write nothing, and come when it was to be expected."""
        before = None if expected else written()
        try:
            with transaction.atomic():
                answer = call()
        except ValidationError as refusal:
            self.tried[refusal.code] += 1
            self.refuse(expected, refusal, before)
            return None
        assert expected is not False, "this should have been refused"
        self.tried["accepted"] += 1
        self.requests.append((call, answer))
        return answer

    def refuse(self, expected, refusal, before):
        self.last_refusal = refusal.code
        assert expected is not True, refusal
        assert written() == before

    # What is done

    @initialize(at=picks)
    def begin_the_day(self, at):
        for number in range(3):
            self.receive(symbol="PE-HD", name="blue", at=at + number, kg=6)
        self.open(operation="press")
        self.open(operation="granulate")

    @rule(
        symbol=st.sampled_from(["PE-HD", "PP"]),
        name=st.sampled_from(["blue", "red"]),
        at=picks,
        kg=st.integers(1, 9),
    )
    def receive(self, symbol, name, at, kg):
        bin = pick(at, [*self.shop["bins"].values(), None])
        receipt = make_receipt(polymer=symbol, colour=name, net_mg=kg * KG + at, source=self.source)
        act, mg = make_act(self.by), receipt.net_mg
        expected = bin is None or self.fits(bin, (symbol, name), mg)
        stands = bin is not None and not self.books.held(("bin", bin.name))
        delivery = self.attempt(
            expected, lambda: receive_delivery(receipt=receipt, act=act, bin=bin, is_confirmed=True)
        )
        if delivery is None:
            return
        floor, origin = ("lot", delivery.code), ("origin", delivery.code)
        self.books.about[delivery.code] = (symbol, name)
        place = ("bin", bin.name) if bin else floor
        self.books.write(act.key, [Flow(origin, place if stands else floor, mg)])
        if bin and not stands:
            into = act.followed_by("into bin").key
            self.books.write(into, [Flow(floor, place, mg)])

    @precondition(lambda self: self.stock())
    @rule(what=picks, at=picks, share=shares)
    def move(self, what, at, share):
        place, bin = pick(what, self.stock()), pick(at, self.shop["bins"].values())
        held, lot, act = self.books.held(place), self.lot_at(place), make_act(self.by)
        mg = held * share // 1000
        mass = None if share == 1000 else Mass(mg)
        sound = 0 < mg <= held and place != ("bin", bin.name) and not self.on_hold(place)
        expected = sound and self.fits(bin, self.books.material(place), mg)
        if self.attempt(expected, lambda: move_lot(lot=lot, bin=bin, mass=mass, act=act)):
            self.books.write(act.key, [Flow(place, ("bin", bin.name), mg)])

    @precondition(lambda self: self.stock())
    @rule(what=picks, share=shares)
    def dispose(self, what, share):
        place, act = pick(what, self.stock()), make_act(self.by, "burnt")
        held, lot = self.books.held(place), self.lot_at(place)
        mg = held * share // 1000
        expected = 0 < mg <= held
        if self.attempt(expected, lambda: dispose_lot(lot=lot, mass=Mass(mg), act=act)):
            self.books.write(act.key, [Flow(place, (OUT,), mg)])

    @precondition(lambda self: self.stock() and len(self.books.acts) % 3 == 0)
    @rule(what=picks)
    def hold_or_lift(self, what):
        lot = self.lot_at(pick(what, self.stock()))
        hold, act = lot.holds.open().first(), make_act(self.by, "smells")
        self.attempt(
            True, lambda: lift_hold(hold=hold, act=act) if hold else hold_lot(lot=lot, act=act)
        )

    @precondition(lambda self: len(self.runs) < 4)
    @rule(operation=st.sampled_from(sorted(YIELDS)))
    def open(self, operation):
        machine, act = self.shop["machines"][operation], make_act(self.by)
        plan = RunPlan(operation=operation, machine=machine, design=self.design_of(operation))
        run = self.attempt(True, lambda: open_run(plan=plan, act=act))
        self.runs[run.code] = run

    @precondition(lambda self: self.runs and self.stock())
    @rule(which=picks, what=picks, share=shares)
    def load(self, which, what, share):
        run, place = self.runs[pick(which, self.runs)], pick(what, self.stock())
        held, lot, act = self.books.held(place), self.lot_at(place), make_act(self.by)
        symbol, mg = self.books.material(place)[0], held * share // 1000
        portion = Portion(lot, None if share == 1000 else Mass(mg))
        last = self.last_polymer.get(run.machine_id, symbol)
        sound = 0 < mg <= held and not self.on_hold(place) and last == symbol
        filling = [c for c in self.charges(run)[-1:] if not self.books.gave(c)]
        same = all(self.books.material(charge)[0] == symbol for charge in filling)
        expected = sound and same and run.code not in self.closings
        done = self.attempt(expected, lambda: book_load(run, portion, act))
        if done is None:
            return
        charge = ("charge", run.code, done.charge.number)
        assert filling in ([], [charge])
        worn = Flow(place, (OUT,), held - mg if place[0] == "part" else 0, is_rest=True)
        self.books.write(act.key, [Flow(place, charge, mg), worn])
        self.last_polymer[run.machine_id] = symbol

    @precondition(lambda self: self.charged())
    @rule(which=picks, what=picks, at=picks, share=shares, pieces=st.integers(1, 3))
    def weigh_out(self, which, what, at, share, pieces):
        run = self.runs[pick(which, self.charged())]
        kind, bin = pick(what, YIELDS[run.operation]), pick(at, self.shop["bins"].values())
        charge = self.charges(run)[-1]
        left = self.books.held(charge)
        mg, act = left * share // 1000, make_act(self.by)
        is_part = kind == "part"
        outcome = Outcome(kind, Mass(mg), pieces if is_part else 0, None if is_part else bin)
        sound = run.code not in self.closings and 0 < mg <= left and (not is_part or mg >= pieces)
        expected = sound and (is_part or self.fits(bin, self.books.material(charge), mg))
        done = self.attempt(expected, lambda: book_yield(run, outcome, act))
        if done:
            lots = pieces if is_part and run.design.tracked == "piece" else 1
            self.write_yield(done, act, charge, evenly(mg, lots))

    def write_yield(self, done, act, charge, masses, gain=0):
        if self.books.held(charge):
            self.made_of[charge] = self.books.material(charge)
        parts = Part.objects.filter(made_in=done.posting, bag=None).order_by("pk")
        takers = [("part", part.code) for part in parts] or [("bin", done.bin.name)]
        flows = [Flow(charge, *each) for each in zip(takers, masses, strict=True)]
        if gain:
            code = Lot.objects.get(kind="gain", taken__posting=done.posting).code
            self.books.about[code] = self.made_of[charge]
            flows.append(Flow(("origin", code), takers[0], gain))
        self.books.write(act.key, flows)
        self.yielded[act.key] = charge

    @precondition(lambda self: self.charged())
    @rule(which=picks, over=st.integers(1, 6_000))
    def weigh_out_a_trace_too_much(self, which, over):
        """Only the first weighing beyond the book is within one weighing's uncertainty."""
        run = self.runs[pick(which, self.charged())]
        charge = self.charges(run)[-1]
        left, act = self.books.held(charge), make_act(self.by)
        outcome = Outcome(
            "leftover", Mass.weighed(left + over, self.shop["scale"]), 0, self.shop["bins"]["A"]
        )
        done = self.attempt(None, lambda: book_yield(run, outcome, act))
        if done:
            assert over <= 5_774 * (1 + len(self.yielded))
            self.write_yield(done, act, charge, [left], over)

    @precondition(lambda self: self.charged())
    @rule(which=picks)
    def carry(self, which):
        run, act = self.runs[pick(which, self.charged())], make_act(self.by)
        charge = self.charges(run)[-1]
        is_open = run.code not in self.closings
        left = self.books.held(charge)
        expected = bool(is_open and left and self.books.gave(charge))
        if done := self.attempt(expected, lambda: carry_over(run=run, act=act)):
            following = ("charge", run.code, done.charge.number)
            self.books.write(act.key, [Flow(charge, following, left, is_rest=True)])

    @precondition(lambda self: self.charged())
    @rule(which=picks)
    def close_or_reopen(self, which):
        run, act = self.runs[pick(which, self.charged())], make_act(self.by, "swept away")
        if run.code in self.closings:
            assert self.attempt(True, lambda: reopen_run(run=run, act=act))
            self.books.forget(self.closings.pop(run.code))
            return
        charges = self.charges(run)
        standing = {charge for key, charge in self.yielded.items() if key in self.books.acts}
        expected = standing.issuperset(charges)
        left = [Flow(charge, (OUT,), self.books.held(charge), is_rest=True) for charge in charges]
        if self.attempt(expected, lambda: close_run(run=run, act=act)):
            self.books.write(act.key, left)
            self.closings[run.code] = act.key

    def undo(self, key, expected):
        posting = self.standing(key)
        act = make_act(self.by, "entered wrong")
        if self.attempt(expected, lambda: reverse_posting(posting=posting, act=act)):
            self.books.forget(key)

    def standing(self, key):
        """The posting of an act as it stands now, corrected or not."""
        first = Posting.objects.get(uuid=key)
        return (Posting.objects.filter(replaces=first).standing().first()) or first

    def undoable(self):
        return [key for key in self.books.acts if key not in self.closings.values()]

    @precondition(lambda self: len(self.undoable()) > 4)
    @rule(which=picks)
    def undo_any(self, which):
        """What nothing rests on can always be undone, unless a hold stands in the way."""
        key = pick(which, self.undoable())
        is_last = key == list(self.books.acts)[-1]
        held = any(self.on_hold(place) for place in self.stock())
        self.undo(key, True if is_last and not held else None)

    @precondition(lambda self: self.requests)
    @rule(order=st.lists(picks, min_size=1, max_size=5))
    def repeat_earlier_requests(self, order):
        before = written()
        for number in order:
            call, answer = self.requests[number % len(self.requests)]
            assert call() == answer
        assert written() == before

    # What must hold

    @invariant()
    def the_book_adds_up(self):
        rows = list(Transfer.objects.values_list("id", "source", "target", "mass_mg", "reverses"))
        undone = {row[4] for row in rows}
        standing = [row for row in rows if row[4] is None and row[0] not in undone]
        taken, given, graph = Counter(), Counter(), defaultdict(set)
        for _, source, target, mg, _ in standing:
            given[source] += mg
            taken[target] += mg
            if source and target:
                graph[target].add(source)
        TopologicalSorter(graph).prepare()  # raises CycleError where lots go round
        lots = Lot.objects.values_list("pk", "in_mg", "out_mg")
        assert [(pk, taken[pk], given[pk]) for pk, _, _ in lots] == list(lots)
        assert all(0 <= out_mg <= in_mg for _, in_mg, out_mg in lots)
        held = sum(in_mg - out_mg for _, in_mg, out_mg in lots)
        assert given[None] == held + taken[None]
        assert (given[None], taken[None]) == (self.books.total_in(), self.books.total_out())

    @invariant()
    def every_place_holds_what_the_bookkeeper_says(self):
        places = self.books.places()
        open_lots = Lot.objects.open().select_related("bin", "polymer", "colour")
        there = {self.place_of(lot): lot for lot in open_lots}
        assert {place: lot.held_mg for place, lot in there.items()} == {
            place: sum(held.values()) for place, held in places.items() if held and place != (OUT,)
        }
        named = {place: (lot.polymer.symbol, lot.colour.name) for place, lot in there.items()}
        assert named == {place: self.books.material(place) for place in there}

    def place_of(self, lot):
        if lot.bin:
            return ("bin", lot.bin.name)
        if lot.kind == "charge":
            charge = Charge.objects.select_related("run").get(lot=lot)
            return ("charge", charge.run.code, charge.number)
        return ("part" if lot.kind == "part" else "lot", lot.code)

    def compare_origins(self):
        places = self.books.places()
        for lot in Lot.objects.open().select_related("bin"):
            content = places[self.place_of(lot)]
            rows, held = origins_of(lot), sum(content.values())
            assert {row.lot.code for row in rows} == set(content)
            assert all(abs(row.share - content[row.lot.code] / held) < 1e-9 for row in rows)
            assert abs(sum(row.share for row in rows) - 1) < 1e-9
            assert sum(row.mass_mg for row in rows) == lot.in_mg
