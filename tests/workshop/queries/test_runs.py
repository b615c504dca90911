"""What a run holds, waits for and lacks."""

import pytest

from tests.factories.inventory import KG, BinFactory, ScaleFactory, make_act, make_full_bin, polymer
from tests.factories.workshop import DesignFactory, load, load_weighed, make_run, weigh_out
from workshop.actions.charges import carry_over
from workshop.actions.runs import close_run
from workshop.models import Machine
from workshop.queries.runs import (
    balances,
    charge_balance,
    needs_purge,
    open_runs,
    run_numbered,
    stage_of,
)

pytestmark = pytest.mark.django_db


@pytest.fixture
def lot(operator):
    return make_full_bin(operator)[1]


@pytest.fixture
def run(operator):
    return make_run(operator)


def stage(run):
    return stage_of(run, balances(run))


def test_a_new_run_waits_to_be_loaded(run):
    assert stage(run) == "load"


def test_a_loaded_run_waits_to_be_made(run, lot, operator):
    load(run, lot, operator, 5 * KG)
    assert stage(run) == "make"


def test_a_run_with_mass_left_waits_to_be_weighed_out(run, lot, operator):
    load(run, lot, operator, 5 * KG)
    weigh_out(run, operator, "part", 4 * KG, pieces=1)
    assert stage(run) == "weigh"


def test_a_run_that_gave_all_waits_to_be_closed(run, lot, operator):
    load(run, lot, operator, 4 * KG)
    weigh_out(run, operator, "part", 4 * KG, pieces=1)
    assert stage(run) == "close"


def test_a_closed_run_waits_for_nothing(run, lot, operator):
    load(run, lot, operator, 4 * KG)
    weigh_out(run, operator, "part", 4 * KG, pieces=1)
    assert stage(close_run(run=run, act=make_act(operator))) == ""


def two_charges(run, lot, operator):
    load(run, lot, operator, 5 * KG)
    weigh_out(run, operator, "part", 4 * KG, pieces=1)
    load(run, lot, operator, 3 * KG)


def test_a_charge_that_was_followed_with_mass_missing_is_a_gap(run, lot, operator):
    two_charges(run, lot, operator)
    (row,) = open_runs()
    assert [(gap.charge.number, gap.gap_mg) for gap in row.gaps] == [(1, KG)]
    assert (row.stage, row.left_mg) == ("make", 4 * KG)


def test_a_charge_carried_over_leaves_no_gap(run, lot, operator):
    load(run, lot, operator, 5 * KG)
    weigh_out(run, operator, "part", 4 * KG, pieces=1)
    carry_over(run=run, act=make_act(operator))
    assert open_runs()[0].gaps == []


def test_balances_ask_the_same_however_many_charges(run, lot, operator, django_assert_num_queries):
    two_charges(run, lot, operator)
    with django_assert_num_queries(5):
        assert len(balances(run)) == 2


def test_one_charge_balances_as_it_does_among_others(run, lot, operator):
    two_charges(run, lot, operator)
    among = balances(run)[0]
    assert charge_balance(among.charge) == among


def test_open_runs_ask_the_same_however_many(run, lot, operator, django_assert_num_queries):
    two_charges(run, lot, operator)
    make_run(operator)
    make_run(operator)
    with django_assert_num_queries(7):
        assert len(open_runs()) == 3


def test_a_machine_that_worked_what_the_design_does_not_allow_needs_a_purge(run, lot, operator):
    load(run, lot, operator, KG)
    machine = Machine.objects.get()
    design = DesignFactory()
    design.polymers.set([polymer("PP")])
    assert needs_purge(make_run(operator, design=design, machine=machine))
    assert not needs_purge(make_run(operator, machine=machine))


def test_a_number_finds_its_run_however_it_is_written(run):
    assert run_numbered(run.number.lower()) == run
    assert run_numbered(f"R{run.pk}") == run


@pytest.mark.parametrize("text", ["R-", "R-x", "R-99999999999999999999", "", "R-\u0663"])
def test_what_is_no_number_finds_no_run(text, run):
    assert run_numbered(text) is None


def test_the_allowance_is_twice_the_standard_uncertainty(run, lot, operator):
    """d / (2 sqrt 3) of a reading, U = 2u: the formulas of JCGM 100 with d = 10 g give 5774 mg."""
    scale = ScaleFactory(resolution_mg=10_000)
    load_weighed(run, lot, operator, 5 * KG, scale)
    assert balances(run)[0].allowed_mg == 5774


def test_offcuts_in_a_bin_are_listed_with_it(run, lot, operator):
    bin = BinFactory()
    load(run, lot, operator, 5 * KG)
    weigh_out(run, operator, "offcut", KG, bin=bin)
    assert [row.bin for row in balances(run)[0].yields] == [bin]
