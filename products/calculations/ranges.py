"""Figures outside of what small workshops usually do: they are said once and never refused.

The ranges are common practice and no limits: a figure outside of them may be right.
"""

from dataclasses import dataclass

SHEET_THICKNESS_MM = (6.0, 30.0)
SHOT_MINUTES = (0.5, 10.0)
PIECE_MASS_SHARE = 0.2


@dataclass(frozen=True)
class RangeNote:
    """A figure outside its usual range: what it is, and the range, in one unit."""

    code: str
    value: float
    low: float
    high: float


def outside(code: str, value: float, low: float, high: float) -> RangeNote | None:
    """Return a note when a value lies outside of a range; its ends are inside."""
    return None if low <= value <= high else RangeNote(code, value, low, high)


def sheet_thickness_note(*, thickness_mm: float) -> RangeNote | None:
    """Return a note on a pressed sheet that is unusually thin or thick.

    Pressed sheets are usually 6 to 30 mm thick, as the frame sets it (common practice).

    >>> sheet_thickness_note(thickness_mm=12) is None
    True
    >>> sheet_thickness_note(thickness_mm=4)
    RangeNote(code='sheet-thickness', value=4, low=6.0, high=30.0)
    """
    return outside("sheet-thickness", thickness_mm, *SHEET_THICKNESS_MM)


def shot_time_note(*, minutes: float, pieces: int, pieces_per_cycle: int) -> RangeNote | None:
    """Return a note when injected pieces took unusually little or much time for each shot.

    A shot takes a couple of minutes and fills several pieces in one mould (common practice).
    The range around that, half a minute to ten, is this project's own judgement; it
    leaves room for heating up and pauses. Shots count as pieces / pieces per cycle, rounded up.

    >>> shot_time_note(minutes=60, pieces=100, pieces_per_cycle=4) is None
    True
    >>> shot_time_note(minutes=60, pieces=4, pieces_per_cycle=4).value
    60.0
    """
    shots = -(-pieces // pieces_per_cycle)
    return outside("shot-time", minutes / shots, *SHOT_MINUTES) if shots else None


def piece_mass_note(*, mass_mg: int, pieces: int, nominal_mg: int) -> RangeNote | None:
    """Return a note when pieces weigh more than 20 % off the design's mass each (mg).

    The share is this project's own judgement: a miscount shows, a worn mould does not.

    >>> piece_mass_note(mass_mg=8_400_000, pieces=2, nominal_mg=4_000_000) is None
    True
    >>> piece_mass_note(mass_mg=4_000_000, pieces=2, nominal_mg=4_000_000).value
    2000000.0
    """
    low, high = (1 - PIECE_MASS_SHARE) * nominal_mg, (1 + PIECE_MASS_SHARE) * nominal_mg
    return outside("piece-mass", mass_mg / pieces, low, high)
