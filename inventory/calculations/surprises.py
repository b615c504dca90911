"""A mass that looks like a slip: a point forgotten, g for kg, or far from what came before.

It may be right, so it is not refused but asked back once, before it is booked. All limits are
this project's own judgement; they are loose, so that a question is rare enough to be read.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from statistics import median

SLIPS = (10, 100, 1000)
SLIP_SPREAD = 1.2
FEWEST_BEFORE = 3
MOST_BEYOND = 5
G_PER_KG = 1000


@dataclass(frozen=True)
class Surprise:
    """A figure far from what was to be expected, both in mg.

    `factor` is 10, 100 or 1000 where it looks like a slip of that size, upwards or downwards, else 0.
    """

    code: str
    value_mg: float
    expected_mg: float
    factor: int = 0

    @property
    def is_above(self) -> bool:
        """Whether the figure is larger than expected."""
        return self.value_mg > self.expected_mg


def slip_factor(value: float, expected: float) -> int:
    """Return 10, 100 or 1000 when a figure is about that many times too large or too small, else 0.

    About means within a factor of 1.2.

    >>> slip_factor(41, 4), slip_factor(0.004, 4), slip_factor(6, 4)
    (10, 1000, 0)
    """
    ratio = max(value, expected) / min(value, expected)
    near = [slip for slip in SLIPS if 1 / SLIP_SPREAD <= ratio / slip <= SLIP_SPREAD]
    return near[0] if near else 0


def surprise(code: str, value_mg: float, expected_mg: float) -> Surprise:
    """Return a surprise with the slip that it looks like."""
    return Surprise(code, value_mg, expected_mg, slip_factor(value_mg, expected_mg))


def delivery_surprise(*, net_mg: int, before_mg: Sequence[int]) -> Surprise | None:
    """Return a surprise when a delivery is far from what its source brought before; masses in mg.

    Far is more than five times the largest of those before, or less than a fifth of the smallest.
    What was to be expected is their median; fewer than three before say nothing.

    >>> delivery_surprise(net_mg=12_000_000_000, before_mg=[9_000_000, 12_000_000, 30_000_000]).factor
    1000
    >>> delivery_surprise(net_mg=4_000_000, before_mg=[9_000_000, 12_000_000, 30_000_000]) is None
    True
    """
    if len(before_mg) < FEWEST_BEFORE:
        return None
    if min(before_mg) <= net_mg * MOST_BEYOND and net_mg <= max(before_mg) * MOST_BEYOND:
        return None
    return surprise("delivery", net_mg, median(before_mg))


def is_other_unit(*, net_mg: int, before_mg: Sequence[int]) -> bool:
    """Return whether a mass would lie among those before, had g been typed for kg or kg for g.

    >>> is_other_unit(net_mg=12_000, before_mg=[9_000_000, 12_000_000, 30_000_000])
    True
    >>> is_other_unit(net_mg=700_000_000, before_mg=[9_000_000, 12_000_000, 30_000_000])
    False
    """
    least, most = min(before_mg), max(before_mg)
    return least <= net_mg * G_PER_KG <= most or least * G_PER_KG <= net_mg <= most * G_PER_KG
