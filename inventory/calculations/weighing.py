"""How well a mass is known, and whether a gap is more than weighing noise.

The rules are those of the "Guide to the Expression of Uncertainty in
Measurement" (JCGM 100, the GUM): every influence becomes a standard
uncertainty u, independent ones are added as squares, and the expanded
uncertainty U = k u with k = 2 covers about 95 %. A displayed resolution or a
limit of error of half-width a is a rectangular distribution, u = a / sqrt 3
(JCGM 100, 4.3.7); a resolution d has the half-width d / 2.

Independence is an assumption. A scale that reads half a per cent high does so
in every weighing: such linear systematic errors are correlated, adding squares
is then too optimistic, and they have to be added linearly. Loading and weighing
out on the same scale cancels part of them; on two scales it does not.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from math import ceil, hypot, sqrt

COVERAGE = 2
LET_GO, NOISE_DIGITS = 0.05, 9


def resolution_uncertainty(resolution: float) -> float:
    """Return u of one reading on a scale of resolution d, in the unit of d.

    u = d / (2 sqrt 3)    (JCGM 100, 4.3.7)

    >>> round(resolution_uncertainty(0.001), 7)
    0.0002887
    """
    return resolution / (2 * sqrt(3))


def net_uncertainty(resolution: float) -> float:
    """Return u of a net mass, gross minus tare, both on one scale.

    u = sqrt 2 * d / (2 sqrt 3), in the unit of d.

    >>> round(net_uncertainty(10), 3)
    4.082
    """
    return sqrt(2) * resolution_uncertainty(resolution)


def sum_uncertainty(uncertainties: Iterable[float]) -> float:
    """Return u of a sum of masses with independent uncertainties.

    u = sqrt(u1^2 + u2^2 + ...), in their common unit (JCGM 100, 5.1.2). Not
    for a systematic error that they share; see the head of this module.

    >>> sum_uncertainty([3.0, 4.0])
    5.0
    """
    return hypot(*uncertainties)


def expanded(uncertainty: float, k: float = COVERAGE) -> float:
    """Return the expanded uncertainty U = k u; k = 2 covers about 95 %.

    >>> expanded(9.13)
    18.26
    """
    return k * uncertainty


def combined_uncertainty(
    repeatability: float,
    repeats: int = 1,
    drift_half_width: float = 0,
    readability_half_width: float = 0,
) -> float:
    """Return u of the mean of `repeats` weighings of the same thing.

    u = sqrt(s^2 / n + drift^2 / 3 + readability^2 / 3), all in one unit. `repeatability` is
    the standard deviation s of a single weighing, the half-widths are limits
    of error.

    Source and example: University of Tartu, "Uncertainty of Simple Weighing",
    0.3240 g with 0.00017 g, +-0.0002 g and +-0.00005 g.

    >>> f"{combined_uncertainty(0.00017, 1, 0.0002, 0.00005):.6e}"
    '2.075251e-04'
    """
    return sum_uncertainty(
        (
            repeatability / sqrt(repeats),
            drift_half_width / sqrt(3),
            readability_half_width / sqrt(3),
        )
    )


def standard_uncertainty(*, resolution_mg: float, readings: int = 1, count: int = 1) -> float:
    """Return u in milligrams of one mass entered in the book.

    `readings` is 1 for a mass read directly and 2 for gross minus tare.
    `count` is for many equal pieces entered as one weighed piece times their
    number: the error of that one weighing comes back in every piece, so it
    grows with the count and not with its root.

    u = count * sqrt(readings) * d / (2 sqrt 3)

    >>> round(standard_uncertainty(resolution_mg=10_000, readings=2))
    4082
    >>> round(standard_uncertainty(resolution_mg=1_000, count=20))
    5774
    """
    return count * sqrt(readings) * resolution_uncertainty(resolution_mg)


def quoted(uncertainty: float, digits: int = 2) -> int:
    """Return an uncertainty in whole units as it is told to people: two digits, rounded up.

    "It usually suffices to quote U to at most two significant digits ... it may be
    appropriate to round up", but 28.05 becomes 28 (JCGM 100, 7.2.6): a twentieth of the last
    digit is let go, so that U of just 10 g, kept a little larger, is not told as 11.

    >>> quoted(5773.5), quoted(18_257.4), quoted(28_050), quoted(0)
    (5800, 19000, 28000, 0)
    """
    step = 10 ** max(0, len(str(ceil(uncertainty))) - digits)
    return ceil(round(uncertainty / step - LET_GO, NOISE_DIGITS)) * step


def quoted_beside(uncertainty: float, figure: int) -> int:
    """Return an uncertainty as it is told beside a whole figure that was judged by it, in the same unit.

    Two digits, rounded up, and more where those would put the figure on the other side: "additional
    digits" are retained where rounding would mislead (JCGM 100, 7.2.6).

    >>> quoted_beside(19_149.0, 20_000), quoted_beside(19_149.0, 10_000), quoted_beside(19_149.03, 19_150)
    (19200, 20000, 19149)
    """
    for digits in range(2, len(str(ceil(uncertainty))) + 1):
        told = quoted(uncertainty, digits)
        if (figure <= told) == (figure <= uncertainty):
            return told
    return int(uncertainty) if figure > uncertainty else quoted(uncertainty)


@dataclass(frozen=True)
class Gap:
    """Mass in minus mass out, beside what the weighings can tell apart (both mg)."""

    gap_mg: int
    expanded_mg: float
    within: bool


def judge_gap(*, in_mg: int, out_mg: int, uncertainties_mg: Iterable[float]) -> Gap:
    """Judge a gap against the expanded uncertainty of its weighings.

    The gap is mass in minus mass out, so it is negative when more came out.
    It lies within the weighing noise when |gap| <= U, U = 2 sqrt(sum of u^2);
    otherwise the loss has to be named. The uncertainties are standard ones in
    milligrams, one for each weighing on either side.

    Assumes independent weighings. A systematic error that the weighings of one
    scale share is correlated; add it linearly, or U comes out too small.

    >>> gap = judge_gap(in_mg=25_000_000, out_mg=24_750_000, uncertainties_mg=[4_082.5] * 5)
    >>> gap.gap_mg, round(gap.expanded_mg), gap.within
    (250000, 18257, False)
    """
    gap_mg = in_mg - out_mg
    expanded_mg = expanded(sum_uncertainty(uncertainties_mg))
    return Gap(gap_mg=gap_mg, expanded_mg=expanded_mg, within=abs(gap_mg) <= expanded_mg)
