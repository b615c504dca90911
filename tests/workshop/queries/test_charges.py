"""Which bins and parts fit a run."""

import pytest

from inventory.actions.lots import hold_lot
from products.models import Part
from tests.factories.inventory import KG, make_act, make_delivery, make_full_bin, polymer
from tests.factories.workshop import DesignFactory, MachineFactory, load, make_run, weigh_out
from workshop.queries.charges import fitting_lots, fitting_parts, part_of, wanted_polymers

pytestmark = pytest.mark.django_db


@pytest.fixture
def blue(operator):
    return make_full_bin(operator)[1]


@pytest.fixture
def green_pp(operator):
    return make_full_bin(operator, polymer="PP", colour="green")[1]


def lots_for(run):
    return fitting_lots(run, wanted_polymers(run))


def parts_for(run):
    return fitting_parts(run, wanted_polymers(run))


def test_a_free_machine_takes_every_known_polymer(blue, green_pp, operator):
    assert set(lots_for(make_run(operator))) == {blue, green_pp}


def test_a_design_takes_the_polymers_it_allows(blue, green_pp, operator):
    design = DesignFactory()
    design.polymers.set([polymer("PP")])
    assert lots_for(make_run(operator, design=design)) == [green_pp]


def test_a_filling_charge_takes_its_own_polymer(blue, green_pp, operator):
    run = make_run(operator)
    load(run, blue, operator, KG)
    assert lots_for(run) == [blue]


def test_a_machine_takes_what_it_last_worked(blue, green_pp, operator):
    machine = MachineFactory(kind="press", last_polymer=polymer("PP"))
    assert lots_for(make_run(operator, machine=machine)) == [green_pp]


def test_nothing_fits_a_machine_that_must_be_purged_first(blue, green_pp, operator):
    machine = MachineFactory(kind="press", last_polymer=polymer("PP"))
    design = DesignFactory()
    design.polymers.set([polymer("PE-HD")])
    assert lots_for(make_run(operator, machine=machine, design=design)) == []


def test_what_is_on_hold_fits_nowhere(blue, operator):
    hold_lot(lot=blue, act=make_act(operator, "smells"))
    assert lots_for(make_run(operator)) == []


def test_unknown_material_fits_nowhere(operator):
    make_delivery(operator, polymer=None, identified_by="unknown")
    assert lots_for(make_run(operator)) == []


def test_a_rejected_polymer_fits_no_heated_machine(operator):
    make_full_bin(operator, polymer="PVC-U")
    assert lots_for(make_run(operator)) == []


def test_deliveries_on_the_floor_come_after_the_bins(operator):
    floor = make_delivery(operator).lot
    binned = make_full_bin(operator)[1]
    assert lots_for(make_run(operator)) == [binned, floor]


def test_cutting_takes_parts_and_no_bins(blue, operator):
    press = make_run(operator)
    load(press, blue, operator, 4 * KG)
    weigh_out(press, operator, "part", 4 * KG, pieces=1)
    cut = make_run(operator, "cut")
    assert lots_for(cut) == []
    assert parts_for(cut) == [Part.objects.get()]


def test_injecting_takes_no_parts(blue, operator):
    press = make_run(operator)
    load(press, blue, operator, 4 * KG)
    weigh_out(press, operator, "part", 4 * KG, pieces=1)
    assert parts_for(make_run(operator, "inject")) == []


def test_a_lot_from_a_bin_is_no_part(blue):
    assert part_of(blue) is None
