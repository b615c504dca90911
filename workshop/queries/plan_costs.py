"""What a planned run will use and cost, by the same functions as a run that was done."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction

from django.utils.timezone import localdate

from inventory.calculations.currencies import rounded
from inventory.queries.unit_costs import costs_of_lots
from products.models import Design
from workshop.calculations.plans import ChargePlan
from workshop.calculations.run_costs import (
    MG_PER_KG,
    Energy,
    RunCost,
    RunFacts,
    Used,
    mixed,
    planned_energy,
    run_cost,
)
from workshop.calculations.work_times import MS, WorkTime
from workshop.models import Machine, Metering, Run, Tooling
from workshop.queries.expectations import MOST_RUNS, given_by_run
from workshop.queries.meterings import metered_by_run
from workshop.queries.rates import rate_book
from workshop.queries.run_costs import GOOD, INTO_BINS

PLANNED = "planned"
DIGITS = 6  # of what is frozen on a run
Drawn = tuple[int, int]  # key of a lot, and mg out of it


@dataclass(frozen=True)
class PlanCost:
    """The energy and the cost that a plan foresees."""

    energy: Energy
    cost: RunCost

    def content(self) -> dict:
        """Return it as a frozen plan keeps it: exact numbers as text, to a millionth."""
        return {
            "currency": self.cost.currency,
            "is_least": self.cost.is_least,
            "kwh": frozen(self.energy.kwh),
            "kwh_basis": self.energy.basis,
            "lines": {line.kind: frozen(line.amount) for line in self.cost.lines},
            "total": frozen(self.cost.total) if self.cost.is_known else None,
        }


@dataclass(frozen=True)
class PlannedWork:
    """On what a plan is made, its charge, how long it takes (ms; None: nobody knows), and what is drawn."""

    design: Design
    machine: Machine
    tooling: Tooling | None
    charge: ChargePlan
    worked_ms: int | None
    changeover_ms: int
    draws: Sequence[Drawn]

    @property
    def time(self) -> WorkTime | None:
        """Its time as a run would have it."""
        if self.worked_ms is None:
            return None
        return WorkTime(self.worked_ms, PLANNED, changeover_ms=self.changeover_ms)


def frozen(amount: Fraction | None) -> str | None:
    """Return an exact number as text, to a millionth."""
    return None if amount is None else f"{rounded(amount, DIGITS):f}"


def thawed(text: str | None) -> Fraction | None:
    """Return what a frozen plan keeps as a number again."""
    return None if text is None else Fraction(text)


def plan_cost(work: PlannedWork) -> PlanCost:
    """Return what a plan will use and cost by the rates of today, in seven queries whatever is drawn."""
    rates = rate_book().on(localdate(), work.machine, work.tooling)
    expected = work.charge.expected
    good_mg = sum(expected.get(kind, 0) for kind in GOOD)
    costs = costs_of_lots({lot: rates.currency for lot, _mg in work.draws})
    mean = mixed((mass_mg, costs[lot]) for lot, mass_mg in work.draws)
    energy = planned_energy(metered_per_kg(work.design, work.machine), good_mg, work.time, rates)
    facts = RunFacts(
        time=work.time,
        energy=energy,
        used=(Used(used_mg(work.charge.charge_mg, expected), mean),),
        cycles=work.charge.cycles if work.tooling else None,
        pieces=work.charge.pieces_made,
        good_mg=good_mg,
    )
    return PlanCost(energy, run_cost(facts, rates))


def used_mg(charge_mg: int, expected: Mapping[str, int]) -> int:
    """Return how much of a charge is used up: all but what is to go back into bins."""
    return charge_mg - sum(mass_mg for kind, mass_mg in expected.items() if kind in INTO_BINS)


def metered_per_kg(design: Design, machine: Machine) -> list[Fraction]:
    """Return the kWh for each good kg of the newest closed runs of a design on a machine that were metered.

    In three queries.
    """
    closed = Run.objects.filter(
        design=design, machine=machine, closed_at__isnull=False, is_abandoned=False
    ).filter(pk__in=Metering.objects.values("run"))
    keys = list(closed.values_list("pk", flat=True)[:MOST_RUNS])
    given, _pieces = given_by_run(keys)
    good = {key: sum(given[key].get(kind, 0) for kind in GOOD) for key in keys}
    used = metered_by_run(keys)
    return [Fraction(kwh) * MG_PER_KG / good[key] for key, kwh in used.items() if good[key]]


def work_ms(seconds: float | None) -> int | None:
    """Return seconds as whole ms."""
    return None if seconds is None else round(seconds * MS)
