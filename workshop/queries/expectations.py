"""What a run should take and give: by its design, or by what runs like it gave before."""

from collections import defaultdict
from dataclasses import dataclass, field
from statistics import median

from django.db.models import QuerySet, Sum

from inventory.models import Lot
from products.models import Operation
from workshop.calculations.operations import RULES
from workshop.models import Load, Run, Yield
from workshop.queries.runs import STANDING, ChargeBalance

FEWEST_RUNS = 3
MOST_RUNS = 20
READ_MG = 1000
FINE, COARSE = 100, 1000
TAKEN_BACK = Yield.Kind.LEFTOVER


@dataclass(frozen=True)
class Experience:
    """What closed runs gave: the mass of a piece in mg, and each kind as a share of what was worked.

    `left_share` is what was left over, as a share of the same. Empty while there are fewer than three of them.
    """

    runs: int = 0
    piece_mg: int | None = None
    shares: dict[str, float] = field(default_factory=dict)
    left_share: float = 0.0


def runs_alike(run: Run) -> QuerySet[Run]:
    """Return the closed runs of the same design, or without one of the same operation on the same machine."""
    closed = Run.objects.filter(closed_at__isnull=False, is_abandoned=False)
    if run.design_id:
        return closed.filter(design=run.design_id, operation=run.operation).exclude(pk=run.pk)
    alike = closed.filter(design=None, operation=run.operation, machine=run.machine_id)
    return alike.exclude(pk=run.pk)


def experience_of(run: Run) -> Experience:
    """Return what the newest closed runs like this one gave, as medians over the runs, in three queries.

    Shares are of what was worked: what was loaded less what was taken out again as it went in.
    """
    keys = list(runs_alike(run).values_list("pk", flat=True)[:MOST_RUNS])
    if len(keys) < FEWEST_RUNS:
        return Experience()
    given, pieces = given_by_run(keys)
    loaded = loaded_by_run(keys)
    left = {key: given[key].pop(TAKEN_BACK, 0) for key in loaded}
    worked = {key: mg - left[key] for key, mg in loaded.items() if mg > left[key]}
    if len(worked) < FEWEST_RUNS:
        return Experience()
    kinds = {kind for key in worked for kind in given[key]}
    shares = {
        kind: median(given[key].get(kind, 0) / worked[key] for key in worked) for kind in kinds
    }
    each = [given[key][Yield.Kind.PART] / pieces[key] for key in worked if pieces[key]]
    piece_mg = round(median(each)) if len(each) >= FEWEST_RUNS else None
    left_share = median(left[key] / worked[key] for key in worked)
    known = {kind: share for kind, share in shares.items() if share}
    return Experience(len(worked), piece_mg, known, left_share)


def loaded_by_run(keys: list[int]) -> dict[int, int]:
    """Return the mg that went into each run; what one charge carried into the next does not count."""
    loads = Load.objects.filter(charge__run__in=keys, **STANDING)
    loads = loads.exclude(source__kind=Lot.Kind.CHARGE).order_by()
    return dict(loads.values_list("charge__run").annotate(mg=Sum("mass_mg")))


def given_by_run(keys: list[int]) -> tuple[dict, dict]:
    """Return the mg of each kind that each run gave, and the pieces made."""
    rows = Yield.objects.filter(charge__run__in=keys, **STANDING).order_by()
    given, pieces = defaultdict(dict), defaultdict(int)
    sums = rows.values_list("charge__run", "kind").annotate(mg=Sum("mass_mg"), n=Sum("pieces"))
    for key, kind, mass_mg, count in sums:
        given[key][kind] = int(mass_mg)  # PostgreSQL sums whole numbers to a decimal
        pieces[key] += int(count) if kind == Yield.Kind.PART else 0
    return given, pieces


def piece_mass_mg(run: Run, experience: Experience) -> int | None:
    """Return what one piece should weigh: as closed runs showed, else as the design says."""
    return experience.piece_mg or (run.design.nominal_mass_mg if run.design else None)


def wanted_mass_mg(run: Run, experience: Experience) -> int | None:
    """Return what a run should be loaded with for its planned pieces, or None when nothing says so.

    A press without a plan is loaded for one cycle. Where closed runs showed how much of a charge
    becomes pieces, the rest is added.
    """
    if run.design is None or not RULES[run.operation].takes_bins:
        return None
    one_cycle = run.design.pieces_per_cycle if run.operation == Operation.PRESS else 0
    pieces = run.planned_pieces or one_cycle
    share = experience.shares.get(Yield.Kind.PART, 1)
    return round(pieces * piece_mass_mg(run, experience) / share) if pieces else None


def expected_mass_mg(balance: ChargeBalance, kind: str, experience: Experience) -> int | None:
    """Return how much of a kind a charge should still give, by closed runs; None when they do not say."""
    share = experience.shares.get(kind)
    if share is None:
        return None
    given_mg = sum(row.mass_mg for row in balance.yields if row.kind == kind)
    taken_mg = sum(row.mass_mg for row in balance.yields if row.kind == TAKEN_BACK)
    return max(0, round(share * (balance.in_mg - taken_mg)) - given_mg)


def short_mg(wanted_mg: int, loaded_mg: int) -> int:
    """Return by how many mg a load falls short of what is wanted; what no floor scale shows counts as reached.

    What is wanted is an estimate that is read to the gram; closer than that (of little, than a hundredth
    of it; of much, than a thousandth) nobody weighs it out: this project's judgement.
    """
    missing_mg = wanted_mg - loaded_mg
    close_mg = max(min(READ_MG, wanted_mg // FINE), wanted_mg // COARSE)
    return missing_mg if missing_mg > close_mg else 0


@dataclass(frozen=True)
class Filling:
    """How far a run is loaded; masses in mg. `wanted_mg` and `capacity_mg` are None when nothing says so."""

    charge_mg: int
    run_mg: int
    wanted_mg: int | None
    capacity_mg: int | None

    @property
    def still_mg(self) -> int | None:
        """What is still wanted; nothing of it once what is wanted is reached."""
        return None if self.wanted_mg is None else short_mg(self.wanted_mg, self.run_mg)

    @property
    def over_mg(self) -> int:
        """What was loaded beyond what is wanted."""
        return 0 if self.wanted_mg is None else short_mg(self.run_mg, self.wanted_mg)

    @property
    def width(self) -> int:
        """How full the machine is, in thousandths."""
        return min(1000, self.charge_mg * 1000 // self.capacity_mg) if self.capacity_mg else 0


def capacity_mg(run: Run) -> int | None:
    """Return what goes in at once: what the machine and the tooling take, the smaller of them."""
    things = [thing for thing in (run.machine, run.tooling) if thing and thing.capacity_mg]
    return min((thing.capacity_mg for thing in things), default=None)


def filling_of(run: Run, found: list[ChargeBalance], experience: Experience) -> Filling:
    """Return how far a run is loaded; the charge is the one that takes the next load."""
    newest = found[-1] if found else None
    takes_more = newest and not newest.is_closed and not newest.is_sealed
    own = [load for each in found for load in each.loads if load.source.kind != Lot.Kind.CHARGE]
    return Filling(
        charge_mg=newest.in_mg if takes_more else 0,
        run_mg=sum(load.mass_mg for load in own),
        wanted_mg=wanted_mass_mg(run, experience),
        capacity_mg=capacity_mg(run),
    )
