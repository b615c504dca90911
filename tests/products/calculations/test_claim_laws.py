"""Laws of recycled content, over small made-up histories and a naive replay in whole fractions.

The replay keeps what each place holds as mg by origin class and moves well-mixed shares, act by
act; it knows no sweep. Laws: ISO 14021 leaves out rework and regrind of one's own process, so own
offcuts never raise a share; a mixture of lots lies between them (conservation of mass).
"""

from collections import defaultdict
from fractions import Fraction
from math import floor

from hypothesis import given, settings
from hypothesis import strategies as st

from inventory.calculations.exact_shares import exact_shares, near_shares
from inventory.calculations.traces import ordered_back
from products.calculations.claims import (
    CLASSES,
    floor_permille,
    recycled_content,
)

KINDS = ("post_consumer", "pre_consumer", "recycled")
FEW = settings(max_examples=40, database=None)
classes = st.sampled_from(sorted(CLASSES))
deliveries = st.lists(st.tuples(classes, st.integers(1, 10**7)), min_size=2, max_size=4)
shares = st.fractions(min_value=Fraction(1, 10), max_value=1, max_denominator=20)
moves = st.lists(st.tuples(st.integers(0, 99), st.integers(0, 99), shares), max_size=8)


class History:
    """Lots numbered from 0, filled and then giving, and beside them what each holds by class."""

    def __init__(self, deliveries):
        self.edges, self.in_mg, self.left, self.held = [], {}, {}, {}
        for each, mg in deliveries:
            lot = len(self.in_mg)
            self.edges.append((None, lot, mg, False, ""))
            self.in_mg[lot] = self.left[lot] = mg
            self.held[lot] = {each: Fraction(mg)}
        self.class_of = dict(enumerate(each for each, _mg in deliveries))

    def mix(self, *portions):
        """Fill a new lot from (lot, mg) and return it."""
        new, content = len(self.in_mg), defaultdict(Fraction)
        for lot, mg in portions:
            self.edges.append((lot, new, mg, False, ""))
            for each, there in self.held[lot].items():
                moved = there * mg / self.left[lot]
                content[each] += moved
                self.held[lot][each] = there - moved
            self.left[lot] -= mg
        self.in_mg[new] = self.left[new] = sum(mg for _lot, mg in portions)
        self.held[new] = dict(content)
        return new

    def told(self, moves):
        """Mix two lots that hold something into a new one, move after move; return the last lot."""
        for first, second, share in moves:
            stock = [lot for lot, mg in self.left.items() if mg]
            pair = dict.fromkeys((stock[first % len(stock)], stock[second % len(stock)]))
            self.mix(*((lot, max(1, int(self.left[lot] * share))) for lot in pair))
        return max(self.in_mg)

    def replayed(self, lot):
        return recycled_content(self.held[lot])

    def swept(self, lot, edges=None, *, exact=True):
        ordered = ordered_back(edges or self.edges)
        found = (exact_shares if exact else near_shares)(lot, ordered)
        sums = defaultdict(Fraction)
        for origin, share in found.items():
            sums[self.class_of[origin]] += share
        return recycled_content(sums)


@FEW
@given(deliveries, moves)
def test_the_sweep_agrees_with_the_replay_exactly(deliveries, moves):
    history = History(deliveries)
    last = history.told(moves)
    assert history.swept(last) == history.replayed(last)


@FEW
@given(deliveries, moves)
def test_the_sweep_in_steps_says_the_same_figures(deliveries, moves):
    history = History(deliveries)
    last = history.told(moves)
    near, exact = history.swept(last, exact=False), history.replayed(last)
    assert [floor_permille(getattr(near, kind)) for kind in KINDS] == [
        floor(getattr(exact, kind) * 1000) for kind in KINDS
    ]


@FEW
@given(deliveries, moves, shares)
def test_a_loop_of_own_offcuts_never_raises_a_share(deliveries, moves, share):
    """Some of a lot is cut off, ground, and mixed back into the rest: post- and pre-consumer stay."""
    history = History([*deliveries, ("virgin", 10**6)])
    lot = history.told([*moves, (0, 1, Fraction(1))])
    before = history.replayed(lot)
    offcut = history.mix((lot, max(1, int(history.left[lot] * share))))
    rest = [(each, mg) for each in (lot, offcut) if (mg := history.left[each])]
    assert history.swept(history.mix(*rest)) == before


@FEW
@given(deliveries, moves, st.integers(1, 10**6), st.integers(1, 10**6))
def test_a_mixture_lies_between_what_was_mixed(deliveries, moves, first_mg, second_mg):
    history = History(deliveries)
    history.told(moves)
    stock = [lot for lot, mg in history.left.items() if mg]
    first, second = stock[0], stock[-1]
    parents = [history.swept(first).recycled, history.swept(second).recycled]
    portions = {
        first: min(first_mg, history.left[first]),
        second: min(second_mg, history.left[second]),
    }
    mixed = history.swept(history.mix(*portions.items())).recycled
    assert min(parents) <= mixed <= max(parents)


@FEW
@given(deliveries, moves, st.randoms(use_true_random=False))
def test_the_order_of_postings_at_one_moment_does_not_matter(deliveries, moves, random):
    history = History(deliveries)
    last = history.told(moves)
    shuffled = random.sample(history.edges, len(history.edges))
    assert history.swept(last, shuffled) == history.swept(last)


@FEW
@given(deliveries, moves)
def test_naming_what_was_unknown_never_lowers_the_share(deliveries, moves):
    """So what is said while something is unknown is a lower bound, whatever it turns out to be."""
    history = History(deliveries)
    last = history.told(moves)
    before = history.swept(last)
    for known in ("virgin", "post-consumer", "pre-consumer"):
        named = [known if each == "unknown" else each for each, _mg in deliveries]
        history.class_of = dict(enumerate(named))
        after = history.swept(last)
        assert after.post_consumer >= before.post_consumer
        assert after.pre_consumer >= before.pre_consumer
