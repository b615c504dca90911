"""Random histories in which past postings are corrected, beside the bookkeeper who tells all anew."""

from copy import deepcopy

from hypothesis import strategies as st
from hypothesis.stateful import precondition, rule

from inventory.calculations.corrections import Broken
from inventory.models import Hold, Lot, Mass
from inventory.queries.corrections import effect_token, lots_reached, movement_of
from inventory.queries.drafts import Fix, draft_of
from tests.factories.inventory import make_act
from tests.journeys.counting import CountedHistories
from tests.journeys.histories import pick, picks, shares
from workshop.actions.corrections import correct_postings

# Per mille of what was booked.
factors = st.sampled_from([500, 900, 999, 1001, 1100, 2000])


class MendedHistories(CountedHistories):
    """Histories with corrections: of masses, of ends, and of what never happened."""

    def mendable(self):
        """Acts that somebody meant, with the posting that stands for them."""
        return [key for key, flows in self.books.acts.items() if not flows[0].is_rest]

    def has_gain(self):
        """Gains of weighing out are shared out anew by a correction; the bookkeeper knows none of it."""
        return Lot.objects.filter(kind="gain", taken__posting__kind="yield").exists()

    @precondition(lambda self: self.stock() and len(self.books.acts) < 20)
    @rule(which=picks, what=picks, at=picks, share=shares, closes=st.booleans())
    def work_a_charge(self, which, what, at, share, closes):
        """A charge from loading to closing, since single steps of one seldom follow each other."""
        self.load(which=which, what=what, share=share)
        if self.charged():
            self.weigh_out(which=which, what=at, at=at, share=share, pieces=2)
            if closes:
                self.close_or_reopen(which=which)

    @precondition(lambda self: self.in_charges() and not self.has_gain())
    @rule(which=picks, factor=factors)
    def mend_a_charge(self, which, factor):
        self.mend_mass_of(pick(which, self.in_charges()), factor)

    def in_charges(self):
        """Acts that loaded a charge or weighed it out."""
        acts = self.books.acts
        return [key for key in self.mendable() if "charge" in {end[0] for end in acts[key][0][:2]}]

    @precondition(lambda self: len(self.books.acts) > 3 and not self.has_gain())
    @rule(which=picks, factor=factors)
    def mend_a_mass(self, which, factor):
        self.mend_mass_of(pick(which, self.mendable()), factor)

    def mend_mass_of(self, key, factor):
        meant = movement_of(self.standing(key))
        if meant is None:
            return
        mg = meant.mass_mg * factor // 1000
        fix = Fix(meant.posting, mass=Mass(mg))
        flows = self.books.acts[key]
        pieces = [flow for flow in flows if not flow.is_rest]
        assert sum(flow.mg for flow in pieces) == meant.mass_mg
        shares = iter([mg // len(pieces) + (n < mg % len(pieces)) for n in range(len(pieces))])
        less = meant.mass_mg - mg  # which a worn part has lost more
        new = [f._replace(mg=f.mg + less if f.is_rest else next(shares)) for f in flows]
        self.mend(key, fix, [flow for flow in new if flow.mg], mass_only=mg != meant.mass_mg)

    @precondition(lambda self: len(self.books.acts) > 3 and not self.has_gain())
    @rule(which=picks, at=picks, is_source=st.booleans())
    def mend_an_end(self, which, at, is_source):
        key, bin = pick(which, self.mendable()), pick(at, self.shop["bins"].values())
        meant, place = movement_of(self.standing(key)), ("bin", bin.name)
        flows = self.books.acts[key]
        ends = {flow.giver if is_source else flow.taker for flow in flows[:1]}
        if meant is None or place in ends or len(flows) > 1:
            return
        if is_source:
            fix, new = Fix(meant.posting, source=bin), [f._replace(giver=place) for f in flows]
        else:
            fix, new = Fix(meant.posting, target=bin), [f._replace(taker=place) for f in flows]
        self.mend(key, fix, new)

    @precondition(lambda self: len(self.books.acts) > 3 and not self.has_gain())
    @rule(which=picks)
    def take_out(self, which):
        key = pick(which, self.mendable())
        if meant := movement_of(self.standing(key)):
            self.mend(key, Fix(meant.posting, is_out=True), [])

    def mend(self, key, fix, flows, *, mass_only=False):
        told, reason = deepcopy(self.books), ""
        told.acts[key] = flows
        try:
            told.tell_anew(self.books.there())
        except AssertionError as error:
            reason = str(error) or "polymers met"
        held = Hold.objects.open().exists()  # on a lot that is empty by now too
        expected = False if reason else None
        act = make_act(self.by, "written down wrong")
        token = self.token(fix)
        done = self.attempt(
            expected,
            lambda: correct_postings(fixes=[fix], act=act, shown=token, loss="swept away"),
        )
        excused = {"crowded", "overfull", "mass"}
        assert done or reason or held or not mass_only or self.last_refusal in excused
        if done:
            self.tried["mended"] += 1
            self.books.acts = {each: flows for each, flows in told.acts.items() if flows}

    def token(self, fix):
        try:
            draft = draft_of([fix])
            return effect_token(draft, lots_reached(draft))
        except Broken:
            return "none"
