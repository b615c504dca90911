"""A plan: what a run needs, whether it fits, how long it takes, and which bins to draw."""

from dataclasses import dataclass
from functools import cached_property

from django.utils.timezone import localdate

from inventory.calculations.codes import group_code
from inventory.calculations.fingerprints import fingerprint
from inventory.models import Colour, Lot, Polymer
from products.models import Design
from workshop.calculations.draws import Draw, Limit, Obstacle, Wanted, choose_draws, obstacles
from workshop.calculations.plan_fits import Fit, tightest, verdict
from workshop.calculations.plans import (
    ChargePlan,
    Learned,
    Pieces,
    Times,
    charge_plan,
)
from workshop.calculations.steps import pieces_per_cycle
from workshop.calculations.work_times import MS
from workshop.models import Machine, Run, Tooling
from workshop.queries.changeovers import TOOLING, Change, changes_for, seconds_of
from workshop.queries.changeovers import Wanted as WantedOn
from workshop.queries.expectations import experience_of
from workshop.queries.plan_costs import PlanCost, PlannedWork, plan_cost, work_ms
from workshop.queries.plan_fits import fits_of, tooling_says
from workshop.queries.plan_stocks import PASSES, RECYCLED, shelf_for
from workshop.queries.plan_times import times_of
from workshop.queries.purges import PurgeNeed, purge_needed

PLANNED_OPERATIONS = ("press", "inject", "extrude")
WHOLE = 100


@dataclass(frozen=True)
class PlanQuestion:
    """What is to be made, on what and of what; no colour is any colour."""

    design: Design
    pieces: int
    machine: Machine
    polymer: Polymer
    tooling: Tooling | None = None
    colour: Colour | None = None
    recycled_percent: int | None = None
    most_bins: int | None = None

    def plain(self) -> dict:
        """Return what a fingerprint and a frozen plan need of it."""
        names = {name: getattr(self, name) for name in self.__dataclass_fields__}
        return {
            name: value if value is None or isinstance(value, int) else str(value)
            for name, value in names.items()
        }


@dataclass(frozen=True)
class PlannedDraw:
    """So much out of one lot; masses in mg. `is_emptied` when nothing stays."""

    lot: Lot
    mass_mg: int
    left_mg: int

    @property
    def is_emptied(self) -> bool:
        """Whether nothing is left."""
        return self.left_mg == 0

    @property
    def name(self) -> str:
        """What people call it: its bin, or the delivery on the floor."""
        if self.lot.bin:
            return self.lot.bin.name
        is_delivery = self.lot.kind == Lot.Kind.DELIVERY
        return self.lot.delivery.number if is_delivery else group_code(self.lot.code)

    @property
    def code(self) -> str:
        """What is scanned: the code of the bin, or of the lot on the floor."""
        return self.lot.bin.code if self.lot.bin else self.lot.code

    def plain(self) -> dict:
        """Return it as a frozen plan keeps it."""
        lot = self.lot
        facts = {"name": self.name, "code": self.code, "lot": lot.code, "mass_mg": self.mass_mg}
        colour = {"colour": lot.colour.name, "srgb": lot.colour.srgb}
        return facts | colour | {"left_mg": self.left_mg}


@dataclass(frozen=True)
class Planned:
    """The answer: the charge, what limits it, its times, and the draws, or what stands in their way."""

    question: PlanQuestion
    charge: ChargePlan
    learned: Learned
    fits: list[Fit]
    times: Times | None
    draws: list[PlannedDraw]
    obstacles: tuple[Obstacle, ...]
    tooling_says: list[str]
    costs: PlanCost
    changes: tuple[Change, ...] = ()

    @property
    def limiting(self) -> Fit | None:
        """The figure of which a cycle takes the largest share."""
        return tightest(self.fits)

    @property
    def verdict(self) -> str:
        """The worst that is to be said of whether it fits, as a code."""
        return verdict(self.fits)

    @property
    def fits_in(self) -> bool:
        """Whether a cycle goes in everywhere, as far as the book knows; an estimate refuses nothing."""
        return all(fit.fits or fit.is_estimate for fit in self.fits)

    @cached_property
    def others_open(self) -> list[Run]:
        """The runs that are open on the machine already, the newest first."""
        return list(self.question.machine.runs.open())

    @property
    def too_small(self) -> Fit | None:
        """Return the tightest of what a cycle does not go into, estimates last."""
        short = [fit for fit in self.fits if not fit.fits]
        return tightest(fit for fit in short if not fit.is_estimate) or tightest(short)

    @property
    def is_to_be_mended(self) -> bool:
        """Whether the tooling may not be used."""
        tooling = self.question.tooling
        return tooling is not None and tooling.condition == Tooling.Condition.MEND

    @property
    def can_start(self) -> bool:
        """Whether a run can be started from it."""
        is_fit = self.fits_in and self.may_be_worked
        return bool(self.draws) and is_fit and not self.is_to_be_mended

    @property
    def left_open_mg(self) -> int:
        """What is left in the bins that are opened."""
        return sum(draw.left_mg for draw in self.draws)

    @property
    def purge(self) -> PurgeNeed | None:
        """What has to be purged before the planned polymer goes in, if anything."""
        return purge_needed(self.question.machine, self.question.polymer)

    @property
    def may_be_worked(self) -> bool:
        """Whether the machine can be made fit for the polymer: after reject material no purge does it."""
        return self.purge is None or self.purge.is_possible

    @property
    def total_s(self) -> float | None:
        """How long changing over and all cycles take, in seconds."""
        return self.changeover_s + self.charge.cycles * self.times.cycle_s if self.times else None

    @property
    def changeover_s(self) -> int:
        """How long changing over takes, in seconds, as far as anybody knows."""
        return seconds_of(self.changes)

    @property
    def token(self) -> str:
        """What stands for the charge and the draws that were shown; starting asks for it."""
        draws = [(draw.lot.code, draw.mass_mg) for draw in self.draws]
        return fingerprint(
            {"question": self.question.plain(), "charge_mg": self.charge.charge_mg, "draws": draws}
        )

    def content(self) -> dict:
        """Return it as it is frozen on the run."""
        charge, times = self.charge, self.times
        return {
            "version": 3,
            "question": self.question.plain(),
            "charge_mg": charge.charge_mg,
            "cycles": charge.cycles,
            "pieces_made": charge.pieces_made,
            "piece_mg": charge.piece_mg,
            "expected_mg": dict(charge.expected),
            "learned_from_runs": self.learned.runs if charge.is_learned else 0,
            "fits": [vars(fit) | {"notes": list(fit.notes)} for fit in self.fits],
            "changeover_s": self.changeover_s,
            "changes": [vars(change) for change in self.changes],
            "cycle_s": times.cycle_s if times else None,
            "steps_s": [list(step) for step in times.steps] if times else [],
            "draws": [draw.plain() for draw in self.draws],
            "costs": self.costs.content(),
        }


def plan_designs():
    """Return the designs of which a run can be planned: those made of what is drawn from bins."""
    return Design.objects.filter(made_by__in=PLANNED_OPERATIONS, withdrawn_at=None)


def plan_for(question: PlanQuestion) -> Planned:
    """Return the plan of a question by what the book knows now; it writes nothing.

    The number of queries does not depend on stock or history.
    """
    learned = learned_of(question)
    per_cycle = pieces_of(question)
    pieces = Pieces(question.pieces, per_cycle, question.design.nominal_mass_mg)
    charge = charge_plan(pieces, learned, operation=question.design.made_by)
    shelf = shelf_for(question.design, question.polymer, question.colour)
    wanted = Wanted(charge.charge_mg, limits_of(question), question.most_bins)
    draws = choose_draws(shelf.offers.free, wanted)
    times = times_of(question.design)
    changes = changes_for(wanted_on(question, draws or (), shelf.lots))
    return Planned(
        question=question,
        charge=charge,
        learned=learned,
        fits=fits_of(
            question.machine,
            question.tooling,
            question.polymer,
            charge,
            times.cycle_s if times else None,
        ),
        times=times,
        draws=[planned_draw(draw, shelf.lots) for draw in draws or ()],
        obstacles=() if draws else obstacles(shelf.offers, wanted),
        tooling_says=tooling_says(question.tooling, question.design, localdate()),
        costs=plan_cost(work_of(question, charge, times, draws or (), shelf.lots, changes)),
        changes=changes,
    )


def wanted_on(question: PlanQuestion, draws, lots: dict[str, Lot]) -> WantedOn:
    """Return what a plan puts on its machine; the colours are those drawn, or else the one asked for."""
    asked = {question.colour} if question.colour else set()
    colours = {lots[draw.key].colour for draw in draws} or asked
    return WantedOn(question.machine, question.tooling, question.polymer, frozenset(colours))


def work_of(question: PlanQuestion, charge: ChargePlan, times, draws, lots, changes) -> PlannedWork:
    """Return what the energy and cost of a plan follow from.

    As in the cost of a run, a change of tooling is paid for, and a pause for cleaning is not.
    """
    return PlannedWork(
        design=question.design,
        machine=question.machine,
        tooling=question.tooling,
        charge=charge,
        worked_ms=work_ms(charge.cycles * times.cycle_s if times else None),
        changeover_ms=seconds_of(changes, TOOLING) * MS,
        draws=[(lots[draw.key].pk, draw.mass_mg) for draw in draws],
    )


def learned_of(question: PlanQuestion) -> Learned:
    """Return what closed runs of the design gave, as medians."""
    found = experience_of(run_of(question))
    return Learned(found.runs, found.piece_mg, found.shares, found.left_share)


def run_of(question: PlanQuestion) -> Run:
    """Return the run of a question as it would be, unsaved."""
    design = question.design
    return Run(design=design, operation=design.made_by, machine=question.machine)


def pieces_of(question: PlanQuestion) -> int:
    """Return how many pieces one cycle gives."""
    cavities = question.tooling.cavities if question.tooling else None
    return pieces_per_cycle(cavities, question.design.pieces_per_cycle)


def limits_of(question: PlanQuestion) -> tuple[Limit, ...]:
    """Return the limits on shares of the charge: melt passes of the design, and recycled content asked."""
    passes, least = question.design.pass_limit, question.recycled_percent
    found = [Limit(PASSES, passes.most_percent / WHOLE)] if passes else []
    found += [Limit(RECYCLED, least / WHOLE, is_least=True)] if least else []
    return tuple(found)


def planned_draw(draw: Draw, lots: dict[str, Lot]) -> PlannedDraw:
    """Return a draw with its lot."""
    return PlannedDraw(lots[draw.key], draw.mass_mg, draw.left_mg)
