"""What a plan foresees of energy and cost, by hand-worked plans, and held against what was done."""

from datetime import timedelta
from fractions import Fraction

import pytest
from django.utils import timezone

from tests.factories.costs import put_price, put_rate, set_euro
from tests.factories.inventory import KG, BinFactory, make_act, make_full_bin
from tests.factories.plans import make_question, metered_run, start
from tests.factories.workshop import (
    DesignFactory,
    MachineFactory,
    ToolingFactory,
    load,
    make_run,
    weigh_out,
)
from workshop.actions.cycles import count_cycle
from workshop.actions.runs import close_run
from workshop.queries.plan_results import comparisons_of
from workshop.queries.plans import plan_for

pytestmark = pytest.mark.django_db


def lines(planned):
    return {line.kind: line.amount for line in planned.costs.cost.lines}


def test_material_is_what_is_drawn_less_what_goes_back(lead):
    """Hand-worked: a charge of 3.157 895 kg at 0.50, of which 3 % offcut and 2 % rejects go back into bins."""
    set_euro(lead)
    _bin, lot = make_full_bin(lead)
    put_price(lead, lot, "0.5")
    planned = plan_for(make_question())
    back_mg = planned.charge.expected["offcut"] + planned.charge.expected["reject"]
    assert lines(planned)["material"] == Fraction(3_157_895 - back_mg, 2 * KG)
    assert planned.costs.cost.good_mg == 3 * KG


def test_bins_of_several_prices_cost_by_their_masses_and_tell_what_has_none(lead):
    """Hand-worked: 1 kg at 2 and 2.157 895 kg without a price."""
    set_euro(lead)
    _bin, lot = make_full_bin(lead, net_mg=KG)
    put_price(lead, lot, 2)
    make_full_bin(lead)
    cost = plan_for(make_question()).costs.cost
    assert cost.known_share == Fraction(KG, 3_157_895)
    assert (cost.lines[0].is_least, cost.lines[0].amount > 0) == (True, True)


def test_without_stock_the_material_is_unknown_and_not_free(lead):
    set_euro(lead)
    assert lines(plan_for(make_question()))["material"] is None


def test_without_times_labour_and_rated_energy_are_unknown(lead):
    set_euro(lead)
    press = MachineFactory()
    put_rate(lead, "labour", 18)
    put_rate(lead, "power", 4000, press)
    make_full_bin(lead)
    planned = plan_for(make_question(machine=press))
    assert (planned.costs.energy.kwh, lines(planned)["labour"]) == (None, None)


@pytest.fixture
def timed(lead):
    """A design of which three runs were timed: a minute a cycle."""
    set_euro(lead)
    design, press = DesignFactory(nominal_mass_mg=KG), MachineFactory()
    _bin, lot = make_full_bin(lead)
    for _number in range(3):
        run = make_run(lead, design=design, machine=press)
        for minute in (2, 1):
            count_cycle(run=run, act=make_act(lead, happened_at=minutes_ago(minute)))
        load(run, lot, lead, KG)
        weigh_out(run, lead, "part", KG, pieces=1)
        close_run(run=run, act=make_act(lead))
    return design, press


def minutes_ago(minutes):
    return timezone.now() - timedelta(minutes=minutes)


def test_energy_and_labour_follow_from_the_planned_time(lead, timed):
    """Hand-worked: cycles x median at 4 kW x 50 %, and 18 an hour for that and 20 min of changing over."""
    design, press = timed
    put_rate(lead, "labour", 18)
    put_rate(lead, "power", 4000, press)
    tool = ToolingFactory(changeover_minutes=20)
    planned = plan_for(make_question(design=design, machine=press, tooling=tool))
    hours = Fraction(round(planned.charge.cycles * planned.times.cycle_s * 1000), 3_600_000)
    assert planned.costs.energy.kwh == 2 * hours
    assert planned.costs.energy.basis == "rated"
    assert lines(planned)["labour"] == 18 * (hours + Fraction(1, 3))


def test_metered_runs_count_for_more_than_the_rating_from_three_on(lead):
    """Hand-worked: 1, 2 and 6 kWh/kg have the median 2; three pieces of 1 kg take 6 kWh."""
    press, design = MachineFactory(), DesignFactory(nominal_mass_mg=KG)
    put_rate(lead, "power", 4000, press)
    _bin, lot = make_full_bin(lead)
    for kwh in ("1", "6"):
        metered_run(lead, design, lot, kwh, machine=press)
    question = make_question(design=design, machine=press)
    assert plan_for(question).costs.energy.basis != "learned"
    metered_run(lead, design, lot, "2", machine=press)
    energy = plan_for(question).costs.energy
    assert (energy.kwh, energy.basis) == (6, "learned")


def test_a_started_run_keeps_what_was_foreseen_and_is_held_against_it(lead):
    """Hand-worked: 3 kg of parts at 0.50 cost 1.50; planned was the charge without what goes back."""
    set_euro(lead)
    _bin, lot = make_full_bin(lead)
    put_price(lead, lot, "0.5")
    plan = start(lead)
    assert plan.content["costs"]["lines"]["material"] == "1.500000"
    load(plan.run, lot, lead, 3_157_895)
    weigh_out(plan.run, lead, "part", 3 * KG, pieces=3)
    weigh_out(plan.run, lead, "offcut", 157_895, bin=BinFactory())
    rows = {row.code: row for row in comparisons_of(plan, plan.run, timezone.now())}
    material = rows["cost-material"]
    assert (material.planned, material.actual, material.unit) == (
        Fraction(3, 2),
        Fraction(3, 2),
        "EUR",
    )
    assert material.difference == 0


def test_a_plan_of_before_is_held_against_nothing(lead):
    make_full_bin(lead)
    plan = start(lead)
    plan.content = {name: each for name, each in plan.content.items() if name != "costs"}
    codes = {row.code for row in comparisons_of(plan, plan.run, timezone.now())}
    assert "cost" not in codes


def test_what_was_planned_in_another_currency_is_not_compared(lead):
    set_euro(lead)
    _bin, lot = make_full_bin(lead)
    put_price(lead, lot, "0.5")
    plan = start(lead)
    plan.content["costs"]["currency"] = "BGN"
    rows = {row.code: row for row in comparisons_of(plan, plan.run, timezone.now())}
    assert rows["cost-material"].planned is None
