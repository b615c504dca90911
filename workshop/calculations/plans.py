"""What a run needs and gives before it is begun: charge, cycles, what else comes out, and how long it takes.

Masses are whole mg. Shares are of what is worked; where closed runs do not tell them yet, those of
`USUAL_SHARES` are taken, which are common practice and rough.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from math import ceil
from statistics import median

PART, LEFTOVER = "part", "leftover"
# Flash, sprues and trimmings, purging, and rejects as shares of the charge: common practice, no source.
USUAL_SHARES = {
    "press": {"offcut": 0.03, "reject": 0.02},
    "inject": {"offcut": 0.05, "purging": 0.03, "reject": 0.02},
    "extrude": {"offcut": 0.03, "purging": 0.04, "reject": 0.03},
}
FEWEST_RUNS = 3


@dataclass(frozen=True)
class Learned:
    """What closed runs of a design gave as medians: a piece in mg, each kind as a share of what was worked.

    `left_share` is what was left over, as a share of the same. Without runs the nominal mass counts,
    and what is usual; nothing is left over then.
    """

    runs: int = 0
    piece_mg: int | None = None
    shares: Mapping[str, float] = field(default_factory=dict)
    left_share: float = 0.0

    @property
    def tells(self) -> bool:
        """Whether the runs say how much of a charge becomes parts."""
        return bool(self.shares.get(PART))


@dataclass(frozen=True)
class ChargePlan:
    """A charge with what it becomes in mg by kind; `pieces_made` are those of whole cycles."""

    charge_mg: int
    cycles: int
    pieces_made: int
    piece_mg: int
    expected: Mapping[str, int]
    is_learned: bool

    @property
    def cycle_mg(self) -> int:
        """What is worked in one cycle, rounded up; what is left over is not."""
        return ceil((self.charge_mg - self.expected.get(LEFTOVER, 0)) / self.cycles)


@dataclass(frozen=True)
class Pieces:
    """How many pieces are asked for, how many a cycle gives, and what one should weigh in mg."""

    count: int
    per_cycle: int
    nominal_mg: int


def charge_plan(pieces: Pieces, learned: Learned, *, operation: str) -> ChargePlan:
    """Return the charge for some pieces: their mass over the share of a charge that becomes parts.

    Pieces are made in whole cycles, so the last one may give more than was asked for. What closed
    runs left over of a charge is loaded on top and expected back.

    >>> plan = charge_plan(Pieces(3, 1, 1_000_000), Learned(3, None, {"part": 0.8}), operation="press")
    >>> plan.charge_mg, plan.cycles
    (3750000, 3)
    """
    cycles = ceil(pieces.count / pieces.per_cycle)
    made = cycles * pieces.per_cycle
    shares = dict(learned.shares if learned.tells else USUAL_SHARES[operation])
    of_parts = shares.pop(PART, None) or 1 - sum(shares.values())
    piece_mg = learned.piece_mg or pieces.nominal_mg
    worked_mg = ceil(made * piece_mg / of_parts)
    left_mg = round(worked_mg * learned.left_share) if learned.tells else 0
    expected = {PART: made * piece_mg}
    expected |= {kind: round(share * worked_mg) for kind, share in sorted(shares.items()) if share}
    expected |= {LEFTOVER: left_mg} if left_mg else {}
    return ChargePlan(worked_mg + left_mg, cycles, made, piece_mg, expected, learned.tells)


@dataclass(frozen=True)
class Times:
    """What earlier runs took, in seconds: the median of their medians for a cycle and for each step."""

    runs: int
    cycle_s: float
    steps: tuple[tuple[str, float], ...] = ()


def learned_times(cycles: list[float], steps: list[Mapping[str, float]]) -> Times | None:
    """Return the medians over the runs of their median times; None below three runs.

    `steps` are by name, one mapping for each run; a step counts that three runs timed, the slowest first.

    >>> learned_times([60.0, 62.0, 90.0], [{"heat": 30.0}, {"heat": 40.0}, {"heat": 35.0}])
    Times(runs=3, cycle_s=62.0, steps=(('heat', 35.0),))
    """
    if len(cycles) < FEWEST_RUNS:
        return None
    by_name = {}
    for each in steps:
        for name, seconds in each.items():
            by_name.setdefault(name, []).append(seconds)
    known = [(name, median(found)) for name, found in by_name.items() if len(found) >= FEWEST_RUNS]
    return Times(
        len(cycles), median(cycles), tuple(sorted(known, key=lambda row: (-row[1], row[0])))
    )


@dataclass(frozen=True)
class Comparison:
    """A planned figure beside the actual one; None where one of them is not known."""

    code: str
    label: str
    unit: str
    planned: float | None
    actual: float | None

    @property
    def difference(self) -> float | None:
        """Actual less planned; above zero it was more."""
        if self.planned is None or self.actual is None:
            return None
        return self.actual - self.planned

    @property
    def difference_share(self) -> float | None:
        """The difference as a share of what was planned."""
        return (
            self.difference / self.planned if self.planned and self.difference is not None else None
        )
