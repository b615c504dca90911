"""Figures of closed runs, held against the balances that each run shows itself."""

from math import hypot

import pytest
from django.utils import timezone

from inventory.calculations.periods import month_of, year_of
from inventory.models import Mass
from tests.factories.inventory import KG, BinFactory, ScaleFactory, make_act, make_full_bin
from tests.factories.workshop import (
    DesignFactory,
    MachineFactory,
    load,
    load_weighed,
    make_run,
    weigh_out,
    weigh_out_on,
)
from workshop.actions.charges import carry_over
from workshop.actions.runs import abandon_run, close_run, reopen_run
from workshop.queries.run_figures import run_figures, run_report
from workshop.queries.runs import balances

pytestmark = pytest.mark.django_db


@pytest.fixture
def scale():
    return ScaleFactory(resolution_mg=10_000)


@pytest.fixture
def lot(operator):
    return make_full_bin(operator, bin_fields={"capacity_mg": 100 * KG})[1]


def this_month():
    return month_of(timezone.localdate())


def press(by, lot, scale, parts_mg, **more):
    """Load 4 kg, weigh parts out, close."""
    run = make_run(by, **more)
    load_weighed(run, lot, by, 4 * KG, scale)
    weigh_out_on(scale, run, by, "part", parts_mg, pieces=1)
    close_run(run=run, act=make_act(by, "stuck to the plates"))
    return run


def test_a_run_tells_what_became_of_its_charge(operator, lot, scale):
    run = press(operator, lot, scale, 3_990_000)
    (figure,) = run_figures(this_month())
    assert (figure.loaded_mg, figure.parts_mg, figure.gap_mg) == (4 * KG, 3_990_000, 10_000)
    assert (figure.machine, figure.design) == (run.machine.name, run.design.name)


def test_its_uncertainty_is_that_of_its_own_page(operator, lot, scale):
    run = press(operator, lot, scale, 3_990_000)
    (figure,) = run_figures(this_month())
    (balance,) = balances(run)
    assert balance.expanded_mg > 0
    assert 2 * figure.variance_mg2**0.5 == pytest.approx(balance.expanded_mg)


def test_a_named_loss_counts_as_missing(operator, lot):
    run = make_run(operator)
    load(run, lot, operator, 4 * KG)
    weigh_out(run, operator, "part", 3 * KG, pieces=1)
    close_run(run=run, act=make_act(operator, "spilt"))
    assert [figure.gap_mg for figure in run_figures(this_month())] == [KG]


def test_what_only_the_scale_found_counts_against_the_gap_and_for_the_parts(operator, lot, scale):
    press(operator, lot, scale, 4 * KG + 4000)
    (figure,) = run_figures(this_month())
    assert (figure.parts_mg, figure.gap_mg) == (4 * KG + 4000, -4000)


def test_what_was_carried_into_the_next_charge_is_loaded_once(operator, lot, scale):
    run = make_run(operator)
    first = load_weighed(run, lot, operator, 4 * KG, scale)
    weigh_out_on(scale, run, operator, "part", 2 * KG, pieces=1)
    carry_over(run=run, act=make_act(operator))
    load_weighed(run, lot, operator, 2 * KG, scale)
    weigh_out_on(scale, run, operator, "part", 4 * KG, pieces=1)
    close_run(run=run, act=make_act(operator))
    (figure,) = run_figures(this_month())
    assert (figure.loaded_mg, figure.parts_mg, figure.gap_mg) == (6 * KG, 6 * KG, 0)
    each = Mass.weighed(2 * KG, scale).uncertainty_ug / 1000
    assert figure.variance_mg2**0.5 == pytest.approx(hypot(each, each, each, each))
    assert first.charge.number == 1


def test_open_and_abandoned_runs_and_other_months_do_not_count(operator, lead, lot, scale):
    run = press(operator, lot, scale, 4 * KG)
    given_up = make_run(operator)
    load(given_up, lot, operator, KG)
    abandon_run(run=given_up, act=make_act(operator, "heater failed"))
    load(make_run(operator), lot, operator, KG)
    assert len(run_figures(this_month())) == 1
    assert run_figures(this_month().before) == []
    reopen_run(run=run, act=make_act(lead, "forgot the dust"))
    assert run_figures(this_month()) == []


def test_groups_are_designs_machines_and_operations(operator, lot, scale):
    machine, design = MachineFactory(name="Press A"), DesignFactory(name="Plate")
    for parts_mg in (3_600_000, 3_800_000):
        press(operator, lot, scale, parts_mg, machine=machine, design=design)
    grinding = make_run(operator, "granulate")
    load(grinding, lot, operator, 2 * KG)
    weigh_out(grinding, operator, "material", 2 * KG, bin=BinFactory())
    close_run(run=grinding, act=make_act(operator))
    report = run_report(year_of(timezone.localdate()))
    assert [(row.name, row.runs, row.share) for row in report.by_design] == [("Plate", 2, 0.925)]
    assert {row.name: row.gap_mg for row in report.by_machine} == {
        "Press A": 600_000,
        grinding.machine.name: 0,
    }
    assert [(row.name, row.runs, row.outside) for row in report.by_operation] == [
        ("granulate", 1, 0),
        ("press", 2, 2),
    ]
    assert report.runs == 3


def test_it_asks_five_times_however_many_runs(operator, lot, scale, django_assert_num_queries):
    for _number in range(2):
        press(operator, lot, scale, 4 * KG)
    with django_assert_num_queries(5):
        run_report(this_month())
