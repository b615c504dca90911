"""A bin on the scale against the book: whether they agree, and what looks like a slip of the hand.

A slip is only ever asked back, never refused: the scale has the last word. The limits below
are common practice on a shop floor, chosen so that they ask seldom; none is from a standard.
"""

from collections.abc import Iterable
from dataclasses import dataclass

from inventory.calculations.weighing import judge_gap

FACTORS = {"unit": 1000, "digit": 10}  # grams typed as kilograms; a digit too many or too few
NEAR = 0.05  # how close to such a factor counts as one
NEAR_TARE = 0.02  # how close to the tare a difference must be, where the scales tell no better
FAR_TIMES, FAR_SHARE = 5, 0.2  # beyond both of these, a difference is far


@dataclass(frozen=True)
class Comparison:
    """What the book says, what the scale shows net, and U (k = 2) of their difference; all in mg."""

    book_mg: int
    net_mg: int
    expanded_mg: float

    @property
    def difference_mg(self) -> int:
        """What the scale shows more than the book says; below zero when it is less."""
        return self.net_mg - self.book_mg

    @property
    def verdict(self) -> str:
        """Return agrees, less or more.

        A bin that shows nothing never agrees with a book that says something: one sees that
        it is empty, whatever the scale can tell, and it has to come free for other material.

        >>> Comparison(5_000_000, 5_010_000, 14_142.0).verdict
        'agrees'
        >>> Comparison(4_000, 0, 14_142.0).verdict
        'less'
        """
        is_seen_empty = self.net_mg == 0 < self.book_mg
        if abs(self.difference_mg) <= self.expanded_mg and not is_seen_empty:
            return "agrees"
        return "more" if self.difference_mg > 0 else "less"


def compare(*, book_mg: int, net_mg: int, uncertainties_mg: Iterable[float]) -> Comparison:
    """Hold a reading against the book; the uncertainties are standard ones, of both.

    They agree while |difference| <= U = 2 sqrt(sum of u^2) (JCGM 100, 5.1.2 and 6.2).

    >>> compare(book_mg=25_000_000, net_mg=24_990_000, uncertainties_mg=[4_082.5] * 2).verdict
    'agrees'
    """
    gap = judge_gap(in_mg=book_mg, out_mg=net_mg, uncertainties_mg=uncertainties_mg)
    return Comparison(book_mg, net_mg, gap.expanded_mg)


@dataclass(frozen=True)
class Circumstances:
    """What a slip is told by: the display, the tare taken off, the bin's own tare and limits, in mg."""

    shown_mg: int
    taken_off_mg: int
    tare_mg: int
    room_mg: int
    scale_mg: int | None = None


def surprise(comparison: Comparison, around: Circumstances) -> str:
    """Return what is surprising about a reading, or an empty text.

    `unit`: about 1000 times too much or too little; `digit`: about 10 times; `tare`: off by
    about the bin's tare; `scale`: more than the scale carries; `room`: more than the bin may
    hold; `empty`: far less, and nothing left; `far`: far off. What agrees is never surprising.

    >>> around = Circumstances(3_450_000, 0, 1_450_000, 60_000_000)
    >>> surprise(Comparison(2_000_000, 3_450_000, 8_165.0), around)
    'tare'
    """
    if comparison.verdict == "agrees":
        return ""
    expected_mg = comparison.book_mg + around.taken_off_mg
    slips = [
        *((name, is_times(around.shown_mg, expected_mg, n)) for name, n in FACTORS.items()),
        ("tare", is_the_tare(comparison, around.tare_mg)),
        ("scale", around.scale_mg is not None and around.shown_mg > around.scale_mg),
        ("room", comparison.net_mg > max(around.room_mg, comparison.book_mg)),
        ("empty", comparison.net_mg == 0 and is_far(comparison)),
        ("far", is_far(comparison)),
    ]
    return next((name for name, is_so in slips if is_so), "")


def is_times(shown_mg: int, expected_mg: int, factor: int) -> bool:
    """Return whether a reading is about so many times too large or too small.

    >>> is_times(5_200_000_000, 5_180_000, 1000), is_times(520_000, 5_200_000, 10)
    (True, True)
    """
    if not shown_mg or not expected_mg:
        return False
    times = max(shown_mg, expected_mg) / min(shown_mg, expected_mg)
    return abs(times / factor - 1) <= NEAR


def is_the_tare(comparison: Comparison, tare_mg: int) -> bool:
    """Return whether the difference is about the tare: forgotten, or taken off twice.

    >>> is_the_tare(Comparison(5_000_000, 3_560_000, 8_165.0), 1_450_000)
    True
    """
    off_mg = abs(abs(comparison.difference_mg) - tare_mg)
    return tare_mg > 0 and off_mg <= max(comparison.expanded_mg, NEAR_TARE * tare_mg)


def is_far(comparison: Comparison) -> bool:
    """Return whether a difference is far beyond what scales explain and a large share of the book.

    >>> is_far(Comparison(5_000_000, 3_900_000, 8_165.0)), is_far(Comparison(5_000_000, 4_500_000, 8_165.0))
    (True, False)
    """
    off_mg = abs(comparison.difference_mg)
    return off_mg > FAR_TIMES * comparison.expanded_mg and off_mg > FAR_SHARE * comparison.book_mg
