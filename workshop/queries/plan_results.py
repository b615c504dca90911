"""A plan against what was done: charge, bins, parts, what else came out, time, energy and cost."""

from dataclasses import replace
from datetime import datetime

from django.utils.translation import gettext as _

from inventory.models import Lot
from workshop.calculations.operations import RETAINING
from workshop.calculations.plans import Comparison
from workshop.models import Load, Plan, Run, Step, Yield
from workshop.queries.accounts import source_label
from workshop.queries.cost_words import KINDS
from workshop.queries.cycles import making_of
from workshop.queries.expectations import Filling, short_mg
from workshop.queries.plan_costs import thawed
from workshop.queries.run_costs import account_of_run
from workshop.queries.runs import balances


def plan_of(run: Run) -> Plan | None:
    """Return the plan that a run was started from, or None."""
    return getattr(run, "plan", None)


def own_loads(found) -> list[Load]:
    """Return what was loaded from stock; what one charge carried into the next does not count."""
    loads = [load for balance in found for load in balance.loads]
    return [load for load in loads if load.source.kind != Lot.Kind.CHARGE]


def loaded_by_code(loads: list[Load]) -> dict[str, int]:
    """Return the mg loaded, by the code of the bin, or of the lot where it stood on the floor."""
    sums = {}
    for load in loads:
        code = load.source.bin.code if load.source.bin else load.source.code
        sums[code] = sums.get(code, 0) + load.mass_mg
    return sums


def open_draws(plan: Plan, found) -> list[dict]:
    """Return the planned draws, each with what is loaded of it and still to load, in mg."""
    loaded = loaded_by_code(own_loads(found))
    return [
        draw
        | {"loaded_mg": loaded.get(draw["code"], 0)}
        | {"still_mg": short_mg(draw["mass_mg"], loaded.get(draw["code"], 0))}
        for draw in plan.draws
    ]


def draw_of(draws: list[dict], lot: Lot) -> dict | None:
    """Return the planned draw that loading a lot would do, or None."""
    if not draws:
        return None
    codes = {lot.code, lot.bin.code if lot.bin else lot.code}
    return next((draw for draw in draws if draw["code"] in codes), None)


def waits_for_purge(plan: Plan | None, run: Run) -> bool:
    """Return whether the machine still holds another polymer than the planned one."""
    last = run.machine.last_polymer
    if plan is None or last is None or run.machine.kind not in RETAINING:
        return False
    return last.symbol != plan.content["question"]["polymer"]


def filling_planned(plan: Plan | None, filling: Filling) -> Filling:
    """Return how far a run is loaded, held against the charge of its plan where it has one."""
    return replace(filling, wanted_mg=plan.charge_mg) if plan else filling


def comparisons_of(plan: Plan, run: Run, now: datetime) -> list[Comparison]:
    """Return planned figures beside actual ones in the order of the work; the queries do not grow with them."""
    found = balances(run)
    loads = own_loads(found)
    yields = [row for balance in found for row in balance.yields]
    total = sum(load.mass_mg for load in loads)
    charge = Comparison("charge", _("Charge"), "mg", plan.charge_mg, total)
    return [
        charge,
        *bins_compared(plan, loads),
        *yields_compared(plan, yields),
        *times_compared(plan, run, now),
        *costs_compared(plan, run, now),
    ]


def costs_compared(plan: Plan, run: Run, now: datetime) -> list[Comparison]:
    """Return energy in kWh, then the cost by kind and its sum, each where one of both is known.

    Money that was planned in another currency is not compared: nothing is converted. Plans of before
    energy and cost were planned have only what was done.
    """
    found, planned = account_of_run(run, now), plan.content.get("costs", {})
    cost, currency = found.cost, found.cost.currency
    is_same = planned.get("currency") == currency
    lines = planned.get("lines", {}) if is_same else {}
    done = {line.kind: line.amount for line in cost.lines}
    rows = [Comparison("energy", _("Energy"), "kWh", thawed(planned.get("kwh")), found.energy.kwh)]
    rows += [
        Comparison(
            f"cost-{kind}", cost_label(kind), currency, thawed(lines.get(kind)), done.get(kind)
        )
        for kind in KINDS
    ]
    is_least = cost.is_least or (is_same and planned.get("is_least", False))
    total = thawed(planned.get("total")) if is_same else None
    label = _("Cost, all that is known") if is_least else _("Cost")
    rows.append(Comparison("cost", label, currency, total, cost.total if cost.is_known else None))
    return [row for row in rows if row.planned is not None or row.actual is not None]


def cost_label(kind: str) -> str:
    """Return what the cost of a kind is called."""
    return _("Cost of %(kind)s") % {"kind": str(KINDS[kind]).lower()}


def bins_compared(plan: Plan, loads: list[Load]) -> list[Comparison]:
    """Return each planned bin, then those that were loaded without being planned."""
    loaded = loaded_by_code(loads)
    names = {
        load.source.bin.code if load.source.bin else load.source.code: source_label(load)
        for load in loads
    }
    planned = {draw["code"]: draw for draw in plan.draws}
    rows = [
        Comparison("bin", draw["name"], "mg", draw["mass_mg"], loaded.pop(code, 0))
        for code, draw in planned.items()
    ]
    return rows + [Comparison("bin", names[code], "mg", 0, mg) for code, mg in loaded.items()]


def yields_compared(plan: Plan, yields: list[Yield]) -> list[Comparison]:
    """Return pieces, then the mass of each kind that was expected or came out."""
    pieces = sum(row.pieces for row in yields if row.kind == Yield.Kind.PART)
    rows = [Comparison("pieces", _("Pieces"), "", plan.content["pieces_made"], pieces)]
    expected, given = plan.content["expected_mg"], {}
    for row in yields:
        given[row.kind] = given.get(row.kind, 0) + row.mass_mg
    return rows + [
        Comparison(kind, str(label), "mg", expected.get(kind, 0), given.get(kind, 0))
        for kind, label in Yield.Kind.choices
        if kind in expected or kind in given
    ]


def times_compared(plan: Plan, run: Run, now: datetime) -> list[Comparison]:
    """Return cycles, the median seconds of one, and of each step that was planned or timed."""
    statistics = making_of(run, now).statistics
    actual_s = statistics.times.median_s if statistics.times else None
    rows = [
        Comparison("cycles", _("Cycles"), "", plan.content["cycles"], statistics.cycles),
        Comparison("cycle", _("One cycle (median)"), "s", plan.content["cycle_s"], actual_s),
    ]
    timed = {step.name: step.times.median_s for step in statistics.steps}
    planned = dict(plan.content["steps_s"])
    names = [*planned, *(name for name in timed if name not in planned)]
    return rows + [
        Comparison("step", str(Step.Name(name).label), "s", planned.get(name), timed.get(name))
        for name in names
    ]
