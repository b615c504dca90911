"""What a run needs and gives before it is begun: charge, cycles, what else comes out, and whether it fits.

Masses are whole mg. Shares are of what is worked; where closed runs do not tell them yet, those of
`USUAL_SHARES` are taken, which are common practice and rough.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from math import ceil
from statistics import median

from workshop.calculations.shots import Densities, capacity

PART = "part"
# Flash, sprues and trimmings, purging, and rejects as shares of the charge: common practice, no source.
USUAL_SHARES = {
    "press": {"offcut": 0.03, "reject": 0.02},
    "inject": {"offcut": 0.05, "purging": 0.03, "reject": 0.02},
    "extrude": {"offcut": 0.03, "purging": 0.04, "reject": 0.03},
}
FEWEST_RUNS = 3
MG_PER_G = 1000


@dataclass(frozen=True)
class Learned:
    """What closed runs of a design gave as medians: a piece in mg, each kind as a share of what was worked.

    Without runs the nominal mass counts, and what is usual.
    """

    runs: int = 0
    piece_mg: int | None = None
    shares: Mapping[str, float] = field(default_factory=dict)

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
        """What goes in for one cycle, rounded up."""
        return ceil(self.charge_mg / self.cycles)


@dataclass(frozen=True)
class Pieces:
    """How many pieces are asked for, how many a cycle gives, and what one should weigh in mg."""

    count: int
    per_cycle: int
    nominal_mg: int


def charge_plan(pieces: Pieces, learned: Learned, *, operation: str) -> ChargePlan:
    """Return the charge for some pieces: their mass over the share of a charge that becomes parts.

    Pieces are made in whole cycles, so the last one may give more than was asked for.

    >>> plan = charge_plan(Pieces(3, 1, 1_000_000), Learned(3, None, {"part": 0.8}), operation="press")
    >>> plan.charge_mg, plan.cycles
    (3750000, 3)
    """
    cycles = ceil(pieces.count / pieces.per_cycle)
    made = cycles * pieces.per_cycle
    shares = dict(learned.shares if learned.tells else USUAL_SHARES[operation])
    of_parts = shares.pop(PART, None) or 1 - sum(shares.values())
    piece_mg = learned.piece_mg or pieces.nominal_mg
    charge_mg = ceil(made * piece_mg / of_parts)
    expected = {PART: made * piece_mg}
    expected |= {kind: round(share * charge_mg) for kind, share in sorted(shares.items()) if share}
    return ChargePlan(charge_mg, cycles, made, piece_mg, expected, learned.tells)


@dataclass(frozen=True)
class Fit:
    """One figure that a cycle is held against: what limits, what it takes and what is asked, both in mg.

    `code` is `takes` for what a frame, mould or machine takes at once, and `barrel` for the barrel, where
    `takes_mg` is in the polymer of the plan. `notes` are codes: `above-all`, `below`.
    """

    code: str
    name: str
    takes_mg: int
    asked_mg: int
    notes: tuple[str, ...] = ()

    @property
    def fits(self) -> bool:
        """Whether it goes in."""
        return self.asked_mg <= self.takes_mg

    @property
    def use(self) -> float:
        """How much of it one cycle takes, as a share."""
        return self.asked_mg / self.takes_mg


def takes_fit(name: str, takes_mg: int | None, cycle_mg: int) -> list[Fit]:
    """Return how a cycle is held against what a thing takes at once; nothing where that is not known."""
    return [Fit("takes", name, takes_mg, cycle_mg)] if takes_mg else []


def barrel_fit(
    name: str, takes_mg: int | None, cycle_mg: int, *, rated_g_cm3: float, density_g_cm3: float
) -> list[Fit]:
    """Return how a shot fits a barrel that is rated in another polymer, by solid densities as the trade does.

    The sum is that of `shots.capacity`; a shot below 20 or above 75 per cent of it is noted.

    >>> (fit,) = barrel_fit("B", 226_800, 60_000, rated_g_cm3=1.05, density_g_cm3=0.905)
    >>> fit.takes_mg, fit.fits
    (195480, True)
    """
    if not takes_mg:
        return []
    found = capacity(
        rated_g=takes_mg / MG_PER_G,
        densities=Densities(rated_g_cm3, density_g_cm3),
        shot_g=cycle_mg / MG_PER_G,
    )
    notes = tuple(note.code for note in found.notes if note.code in {"above-all", "below"})
    return [Fit("barrel", name, round(found.by_solid_g * MG_PER_G), cycle_mg, notes)]


def tightest(fits: Iterable[Fit]) -> Fit | None:
    """Return the figure that limits: of which a cycle takes the largest share."""
    return max(fits, key=lambda fit: fit.use, default=None)


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
