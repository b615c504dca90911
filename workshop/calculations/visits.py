"""Pieces of a visit: what each weighs when what a bin gave is shared over them.

The limits are this project's own judgement (no source): a piece that fills its mould weighs what
its design says; the polymers that one mould takes differ in density by some 30 % either way.
"""

from dataclasses import dataclass

LEAST, MOST = 70, 140  # per cent of the nominal mass


@dataclass(frozen=True)
class PieceShare:
    """The mass of one piece, and between what it must lie, in mg."""

    each_mg: int
    low_mg: int
    high_mg: int


def piece_share(mass_mg: int, pieces: int, nominal_mg: int) -> PieceShare:
    """Return what one of several equal pieces weighs, in mg rounded down, and its limits.

    >>> piece_share(61_000, 3, 20_000)
    PieceShare(each_mg=20333, low_mg=14000, high_mg=28000)
    """
    return PieceShare(mass_mg // pieces, nominal_mg * LEAST // 100, nominal_mg * MOST // 100)
