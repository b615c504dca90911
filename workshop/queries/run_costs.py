"""What runs took, used and cost: time, energy and money, of one run or of many at once.

The number of queries does not depend on how many runs are asked for, nor on what lies behind them.
"""

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime
from fractions import Fraction

from django.db.models import OuterRef, QuerySet, Subquery
from django.utils.timezone import localtime

from inventory.calculations.unit_costs import UNKNOWN
from inventory.models import Lot, Transfer
from inventory.queries.postings import standing_transfers
from inventory.queries.unit_costs import costs_of_lots
from workshop.calculations.rates import Rates
from workshop.calculations.run_costs import (
    MG_PER_KG,
    Energy,
    RunCost,
    RunFacts,
    Used,
    energy_of,
    run_cost,
)
from workshop.calculations.steps import pieces_per_cycle
from workshop.calculations.work_times import WorkTime
from workshop.models import Charge, Run, Yield
from workshop.queries.expectations import given_by_run
from workshop.queries.meterings import metered_by_run
from workshop.queries.rates import rate_book
from workshop.queries.runs import STANDING
from workshop.queries.work_times import moments_of_runs, time_of

GOOD = (Yield.Kind.PART, Yield.Kind.MATERIAL)
INTO_BINS = frozenset(
    [Transfer.Role.REJECT, Transfer.Role.OFFCUT, Transfer.Role.DUST]
    + [Transfer.Role.PURGING, Transfer.Role.LEFTOVER]
)
GIVING = ("source", "target", "role", "mass_mg", "posting")


@dataclass(frozen=True)
class Given:
    """What a run was loaded with and gave, in mg by kind, and the pieces made."""

    loaded_mg: int
    by_kind: Mapping[str, int]
    pieces: int

    @property
    def good_mg(self) -> int:
        """Parts, and material made."""
        return sum(self.by_kind.get(kind, 0) for kind in GOOD)


@dataclass(frozen=True)
class RunAccount:
    """One run with its time, energy and cost, the rates it cost by, and what it gave."""

    run: Run
    time: WorkTime
    energy: Energy
    cost: RunCost
    rates: Rates
    given: Given

    @property
    def kwh_per_kg(self) -> Fraction | None:
        """Energy for each good kilogram; None when one of them is not known."""
        if self.energy.kwh is None or not self.given.good_mg:
            return None
        return self.energy.kwh * MG_PER_KG / self.given.good_mg


def account_of_run(run: Run, now: datetime) -> RunAccount:
    """Return the time, energy and cost of one run, so far when it is open."""
    return run_accounts(Run.objects.filter(pk=run.pk), now)[0]


def run_accounts(runs: QuerySet[Run], now: datetime) -> list[RunAccount]:
    """Return the time, energy and cost of runs, in the order of the query, in fourteen queries for any number."""
    before = Run.objects.filter(machine=OuterRef("machine"), pk__lt=OuterRef("pk")).order_by("-pk")
    tooling_before = Subquery(before.values("tooling")[:1])
    rows = runs.select_related("machine", "tooling", "design")
    found = list(rows.annotate(tooling_before=tooling_before))
    keys = [run.pk for run in found]
    book, moments, metered = rate_book(), moments_of_runs(found, now), metered_by_run(keys)
    run_of = dict(Charge.objects.filter(run__in=keys).values_list("lot", "run"))
    given = given_by_runs(keys, run_of)
    rates = {run.pk: book.on(day_of(run), run.machine, run.tooling) for run in found}
    used = used_by_runs(run_of, {key: each.currency for key, each in rates.items()})
    accounts = []
    for run in found:
        time = time_of(run, moments[run.pk], now)
        energy = energy_of(metered.get(run.pk), time, rates[run.pk])
        own = given[run.pk]
        cycles = cycles_worn(run, len(moments[run.pk].cycles), own.pieces)
        facts = RunFacts(time, energy, tuple(used[run.pk]), cycles, own.pieces, own.good_mg)
        cost = run_cost(facts, rates[run.pk])
        accounts.append(RunAccount(run, time, energy, cost, rates[run.pk], own))
    return accounts


def day_of(run: Run) -> date:
    """Return the day by whose rates a run costs: that on which it was opened."""
    return localtime(run.opened_at).date()


def cycles_worn(run: Run, counted: int, pieces: int) -> int | None:
    """Return how many cycles the tooling of a run did; None without tooling.

    Those that were counted, or else those that the pieces made need.
    """
    if run.tooling is None:
        return None
    each = pieces_per_cycle(run.tooling.cavities, run.design and run.design.pieces_per_cycle)
    return counted or -(-pieces // each)


def given_by_runs(keys: list[int], run_of: Mapping[int, int]) -> dict[int, Given]:
    """Return what runs were loaded with and gave, in two queries; `run_of` gives the run of each charge's lot."""
    (kinds, pieces), loaded = given_by_run(keys), defaultdict(int)
    others = [kind for kind in Lot.Kind.values if kind != Lot.Kind.CHARGE]
    taken = standing_transfers().filter(target__in=list(run_of), source__kind__in=others)
    for lot, mass_mg in taken.order_by().values_list("target", "mass_mg"):
        loaded[run_of[lot]] += mass_mg
    return {key: Given(loaded[key], kinds[key], pieces[key]) for key in keys}


def used_by_runs(
    run_of: Mapping[int, int], currency_of: Mapping[int, str]
) -> dict[int, list[Used]]:
    """Return what was used up of each charge, with what a kg of it cost, by run; in four queries.

    Used up is what a charge gave to parts and material, and what was lost or thrown away; not what went
    back into a bin or is a piece kept to be cut again, nor what was carried into the next charge.
    """
    kept = Yield.objects.filter(charge__lot__in=list(run_of), kind=Yield.Kind.KEPT, **STANDING)
    kept = set(kept.order_by().values_list("posting", flat=True))
    rows = standing_transfers().filter(source__in=list(run_of)).order_by()
    used = defaultdict(int)
    for lot, target, role, mass_mg, posting in rows.values_list(*GIVING):
        is_back = target is not None and (role in INTO_BINS or posting in kept)
        if not is_back and role != Transfer.Role.CARRIED:
            used[lot] += mass_mg
    costs = costs_of_lots({lot: currency_of[run_of[lot]] for lot in used})
    found = defaultdict(list)
    for lot, mass_mg in used.items():
        found[run_of[lot]].append(Used(mass_mg, costs.get(lot, UNKNOWN)))
    return found
