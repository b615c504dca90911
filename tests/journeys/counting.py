"""Random counts among the histories, beside the same naive bookkeeper."""

from hypothesis import strategies as st
from hypothesis.stateful import rule

from inventory.actions.counts import Accepted, count_bin
from inventory.models import Lot, Reading
from inventory.queries.lots import open_lot_in
from tests.factories.inventory import KG, make_act
from tests.journeys.bookkeeper import OUT, Flow
from tests.journeys.histories import Histories, pick, picks

UNCLEAR_MG = KG // 5  # far more than any weighing of these histories leaves uncertain
changes = st.sampled_from([0, 0, 3_000, -3_000, KG, -KG, 40 * KG, -99 * KG])


class CountedHistories(Histories):
    """Histories in which bins are counted too."""

    @rule(at=picks, change=changes, is_typed=st.booleans(), is_last=st.booleans(), stale=picks)
    def count(self, at, change, is_typed, is_last, stale):
        bin = pick(at, self.shop["bins"].values())
        place, fill = ("bin", bin.name), open_lot_in(bin)
        held = self.books.held(place)
        net_mg = max(0, held + change)
        reading = Reading(net_mg, None if is_typed else self.shop["scale"], 0)
        off_mg = 1 if stale % 10 == 0 else 0
        seen = Accepted(
            fill.code if fill else "", held + off_mg, is_confirmed=True, is_last=is_last
        )
        act = make_act(self.by, "counted")
        expected = self.count_expected(place, net_mg - held, is_last, off_mg)
        done = self.attempt(
            expected, lambda: count_bin(bin=bin, reading=reading, accepted=seen, act=act)
        )
        if done:
            self.write_count(done, place, net_mg - held, act)

    def count_expected(self, place, more_mg, is_last, off_mg):
        """Whether the book should follow the scale; None where only the ledger can tell."""
        if off_mg:
            return False
        if more_mg <= 0:
            return True
        if not self.books.held(place):
            return None if is_last or more_mg < UNCLEAR_MG else False
        if self.on_hold(place):
            return False if more_mg >= UNCLEAR_MG else None
        return True

    def write_count(self, done, place, more_mg, act):
        assert (done.book_mg, done.difference_mg) == (self.books.held(place), more_mg)
        self.tried[("counted", "agrees" if done.posting is None else more_mg > 0)] += 1
        if done.posting is None:
            assert abs(more_mg) < UNCLEAR_MG
            assert done.net_mg or not done.book_mg
        elif more_mg < 0:
            self.books.write(act.key, [Flow(place, (OUT,), -more_mg)])
        else:
            gain = Lot.objects.get(kind="gain", taken__posting=done.posting)
            assert gain.origin_class == "unknown"
            material = (gain.polymer.symbol, gain.colour.name)
            assert not self.books.held(place) or material == self.books.material(place)
            self.books.about[gain.code] = material
            self.books.write(act.key, [Flow(("origin", gain.code), place, more_mg)])
