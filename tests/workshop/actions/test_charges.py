"""Loading: what may go into which charge."""

import pytest

from inventory.actions.lots import dispose_lot, hold_lot, identify_lot, lift_hold
from inventory.actions.materials import switch_blend
from inventory.actions.postings import reverse_posting
from inventory.models import Mass
from tests.factories.book import refused, written
from tests.factories.inventory import (
    KG,
    make_act,
    make_delivery,
    make_full_bin,
    polymer,
)
from tests.factories.workshop import (
    DesignFactory,
    MachineFactory,
    load,
    make_part,
    make_run,
    weigh_out,
)
from workshop.actions.charges import Portion, load_run
from workshop.actions.machines import log_purge
from workshop.models import Charge, Machine

pytestmark = pytest.mark.django_db


@pytest.fixture
def lot(operator):
    return make_full_bin(operator)[1]


@pytest.fixture
def run(operator):
    return make_run(operator)


@pytest.fixture
def other(operator):
    return make_delivery(operator, polymer="PP").lot


def allow(by, **more):
    pair = {"main": polymer("PE-HD"), "added": polymer("PP")}
    return switch_blend(**pair, is_on=True, act=make_act(by, "trial"), **more)


def test_loads_some_of_a_bin(run, lot, operator):
    loading = load(run, lot, operator, 2 * KG)
    lot.refresh_from_db()
    assert (loading.mass_mg, loading.source, loading.charge.number) == (2 * KG, lot, 1)
    assert (lot.held_mg, loading.charge.lot.held_mg) == (8 * KG, 2 * KG)


def test_loads_all_of_a_bin(run, lot, operator):
    load(run, lot, operator)
    lot.refresh_from_db()
    assert lot.held_mg == 0


def test_loads_again_into_a_charge_that_has_not_yielded(run, lot, operator):
    load(run, lot, operator, 2 * KG)
    load(run, lot, operator, 3 * KG)
    assert Charge.objects.get().lot.in_mg == 5 * KG


def test_a_charge_that_has_yielded_is_sealed_and_the_next_load_opens_the_next(run, lot, operator):
    load(run, lot, operator, 2 * KG)
    weigh_out(run, operator, "part", KG, pieces=1)
    assert load(run, lot, operator, 3 * KG).charge.number == 2
    assert [charge.lot.in_mg for charge in run.charges.all()] == [2 * KG, 3 * KG]


def test_refuses_a_named_charge_that_has_yielded(run, lot, operator):
    load(run, lot, operator, 2 * KG)
    weigh_out(run, operator, "part", KG, pieces=1)
    with refused("sealed"):
        load(run, lot, operator, KG, charge_number=1)


def test_refuses_a_charge_that_does_not_exist(run, lot, operator):
    with refused("no-charge"):
        load(run, lot, operator, KG, charge_number=7)


def test_a_charge_whose_yield_was_undone_takes_again(run, lot, operator, lead):
    load(run, lot, operator, 2 * KG)
    wrong = weigh_out(run, operator, "part", KG, pieces=1)
    reverse_posting(posting=wrong.posting, act=make_act(lead, "wrong count"))
    assert load(run, lot, operator, KG).charge.number == 1


def test_a_charge_whose_only_load_was_undone_takes_another_material(
    run, lot, other, operator, lead
):
    wrong = load(run, lot, operator, 2 * KG)
    reverse_posting(posting=wrong.posting, act=make_act(lead, "wrong bin"))
    log_purge(machine=run.machine, act=make_act(operator, "nothing was in it"))
    load(run, other, operator, KG, charge_number=1)
    assert Charge.objects.get().lot.polymer.symbol == "PP"


def test_undoing_one_of_two_loads_gives_the_charge_its_colour_back(run, lot, operator, lead):
    red = make_delivery(operator, colour="red", form="whole").lot
    load(run, lot, operator, 2 * KG)
    wrong = load(run, red, operator, KG)
    assert Charge.objects.get().lot.material.form == "whole"
    reverse_posting(posting=wrong.posting, act=make_act(lead, "wrong bin"))
    assert Charge.objects.get().lot.material == lot.material


def test_refuses_more_than_the_bin_holds(run, lot, operator):
    with refused("short"):
        load(run, lot, operator, 10 * KG + 1)


def test_refuses_an_empty_bin(run, lot, operator):
    dispose_lot(lot=lot, act=make_act(operator, "burnt"))
    with refused("empty"):
        load(run, lot, operator)


def test_refuses_what_is_on_hold(run, lot, operator):
    hold_lot(lot=lot, act=make_act(operator, "smells"))
    with refused("on-hold"):
        load(run, lot, operator, KG)


def test_refuses_to_add_to_a_charge_on_hold(run, lot, operator):
    charge = load(run, lot, operator, KG).charge
    hold_lot(lot=charge.lot, act=make_act(operator, "a screw fell in"))
    with refused("on-hold"):
        load(run, lot, operator, KG)


@pytest.mark.parametrize("operation", ["granulate", "blend", "press", "inject", "extrude"])
def test_refuses_unknown_material_everywhere_even_when_its_hold_was_lifted(operator, operation):
    lot = make_delivery(operator, polymer=None, identified_by="unknown").lot
    lift_hold(hold=lot.holds.get(), act=make_act(operator, "seen"))
    run = make_run(operator, operation)
    with refused("unknown-material"):
        load(run, lot, operator, KG)


@pytest.mark.parametrize("symbol", ["PVC-U", "POM"])
@pytest.mark.parametrize("operation", ["granulate", "press", "inject", "extrude"])
def test_refuses_reject_material_even_when_its_hold_was_lifted(operator, operation, symbol):
    lot = make_delivery(operator, polymer=symbol).lot
    lift_hold(hold=lot.holds.get(), act=make_act(operator, "seen"))
    run = make_run(operator, operation)
    with refused("rejected-polymer"):
        load(run, lot, operator, KG)


def test_takes_what_was_identified_and_released(run, operator, lead):
    lot = make_delivery(operator, polymer=None, identified_by="unknown").lot
    found = {"polymer": polymer("PP"), "identified_by": "float-sink"}
    identify_lot(lot=lot, act=make_act(lead, "floats"), **found)
    lift_hold(hold=lot.holds.get(), act=make_act(lead, "identified"))
    assert load(run, lot, operator, KG).charge.lot.polymer.symbol == "PP"


def test_refuses_another_polymer_until_the_machine_was_purged(run, lot, other, operator):
    load(run, lot, operator, KG)
    weigh_out(run, operator, "part", KG, pieces=1)
    with refused("needs-purge"):
        load(run, other, operator, KG)
    log_purge(machine=run.machine, act=make_act(operator, "two shots of PP"))
    assert load(run, other, operator, KG).charge.number == 2


def test_the_machine_remembers_its_polymer_over_runs(run, lot, other, operator):
    load(run, lot, operator, KG)
    following = make_run(operator, machine=run.machine)
    with refused("needs-purge"):
        load(following, other, operator, KG)


def test_a_charge_does_not_go_on_after_another_run_used_its_machine(run, lot, other, operator):
    load(run, lot, operator, KG)
    following = make_run(operator, machine=run.machine)
    log_purge(machine=run.machine, act=make_act(operator, "cleaned"))
    load(following, other, operator, KG)
    with refused("needs-purge"):
        load(run, lot, operator, KG)


def test_an_oven_keeps_nothing_and_needs_no_purge(operator, lot, other):
    oven = MachineFactory(kind="oven")
    run = make_run(operator, "form", machine=oven)
    load(run, make_part(operator, lot, KG).lot, operator)
    following = make_run(operator, "form", machine=oven)
    load(following, make_part(operator, other, KG).lot, operator)
    assert Machine.objects.get(pk=oven.pk).last_polymer is None


def test_refuses_two_polymers_in_one_charge(run, lot, other, operator):
    load(run, lot, operator, KG)
    with refused("polymer-mismatch"):
        load(run, other, operator, KG)


def test_blends_in_the_machine_when_the_lead_allows_it(lot, other, operator, lead):
    allow(lead, most_added_permille=200)
    run = make_run(operator, "blend")
    load(run, lot, operator, 4 * KG)
    load(run, other, operator, KG)
    machine = Machine.objects.get(pk=run.machine_id)
    assert Charge.objects.get().lot.polymer.symbol == "PE-HD+PP"
    assert machine.last_polymer.symbol == "PE-HD+PP"


def test_refuses_to_blend_beyond_the_limit_in_the_machine(lot, other, operator, lead):
    allow(lead, most_added_permille=200)
    run = make_run(operator, "blend")
    load(run, lot, operator, 4 * KG)
    with refused("polymer-mismatch"):
        load(run, other, operator, KG + 1)


def test_refuses_a_polymer_that_the_design_is_not_made_of(other, operator):
    design = DesignFactory()
    design.polymers.set([polymer("PE-HD")])
    run = make_run(operator, design=design)
    with refused("polymer-mismatch"):
        load(run, other, operator, KG)


@pytest.mark.parametrize("operation", ["cut", "form"])
def test_refuses_a_bin_where_only_parts_are_worked(lot, operator, operation):
    run = make_run(operator, operation)
    with refused("wrong-load"):
        load(run, lot, operator, KG)


@pytest.mark.parametrize("operation", ["blend", "inject", "extrude"])
def test_refuses_parts_where_only_bins_are_loaded(lot, operator, operation):
    part, run = make_part(operator, lot, KG), make_run(operator, operation)
    with refused("wrong-load"):
        load(run, part.lot, operator)


def test_refuses_what_is_in_another_machine(run, lot, operator):
    charge = load(run, lot, operator, KG).charge
    following = make_run(operator)
    with refused("wrong-load"):
        load(following, charge.lot, operator)


def test_a_repeated_load_is_one_load(run, lot, operator):
    act, portion = make_act(operator), Portion(lot, Mass(KG))
    first = load_run(run=run, portion=portion, act=act)
    before = written()
    assert load_run(run=run, portion=portion, act=act) == first
    assert written() == before


def test_refuses_another_portion_under_the_same_id(run, lot, operator):
    act = make_act(operator)
    load_run(run=run, portion=Portion(lot, Mass(KG)), act=act)
    with refused("key-reused"):
        load_run(run=run, portion=Portion(lot, Mass(2 * KG)), act=act)


@pytest.mark.parametrize("mass_mg", [0, -KG])
def test_refuses_to_load_nothing(run, lot, operator, mass_mg):
    with refused("mass"):
        load_run(run=run, portion=Portion(lot, Mass(mass_mg)), act=make_act(operator))
