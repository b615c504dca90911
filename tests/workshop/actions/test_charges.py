"""Loading: what may go into which charge, and what a part gives of itself."""

import pytest

from inventory.actions.lots import dispose_lot, hold_lot, identify_lot, lift_hold, move_lot
from inventory.actions.materials import switch_blend
from inventory.actions.postings import reverse_posting
from inventory.models import Lot, Mass, Posting, Transfer
from inventory.queries.traces import origins_of
from products.actions.parts import hand_over_part, take_back_part
from products.models import Part
from tests.factories.book import refused, written
from tests.factories.inventory import (
    KG,
    BinFactory,
    ScaleFactory,
    make_act,
    make_delivery,
    make_full_bin,
    polymer,
)
from tests.factories.workshop import (
    DesignFactory,
    MachineFactory,
    load,
    load_weighed,
    make_part,
    make_run,
    weigh_out,
)
from workshop.actions.charges import Portion, carry_over, load_run
from workshop.actions.machines import log_purge
from workshop.models import Charge, Load, Machine
from workshop.queries.runs import balances

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


@pytest.fixture
def bag(operator, lot):
    """Ten pieces in one bag, 5 kg."""
    design = DesignFactory(made_by="inject", form="part", tracked="bag")
    return make_part(operator, lot, 5 * KG, design=design, operation="inject", pieces=10)


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


def test_refuses_a_part_that_is_in_use(lot, operator):
    part, run = make_part(operator, lot, KG), make_run(operator, "granulate")
    hand_over_part(part=part, act=make_act(operator), to="school")
    with refused("in-use"):
        load(run, part.lot, operator)


def test_granulates_a_worn_part_that_came_back_lighter(lot, operator):
    part, run = make_part(operator, lot, KG), make_run(operator, "granulate")
    hand_over_part(part=part, act=make_act(operator), to="school")
    take_back_part(part=part, act=make_act(operator), state="worn")
    loading = load(run, part.lot, operator, KG - 40_000)
    worn = Transfer.objects.get(posting=loading.posting, target=None)
    assert (worn.role, worn.mass_mg) == ("loss", 40_000)
    assert (loading.pieces, loading.mass_mg) == (1, KG - 40_000)
    assert not Part.objects.get(pk=part.pk).lot.held_mg


def test_undoing_the_loading_of_a_worn_part_gives_it_all_back(lot, operator, lead):
    part, run = make_part(operator, lot, KG), make_run(operator, "granulate")
    loading = load(run, part.lot, operator, KG - 40_000)
    reverse_posting(posting=loading.posting, act=make_act(lead, "wrong part"))
    assert Part.objects.get(pk=part.pk).lot.held_mg == KG


def test_takes_some_pieces_of_a_bag_at_their_share_of_its_mass(bag, operator):
    loading = load(make_run(operator, "granulate"), bag.lot, operator, pieces=3)
    left = Part.objects.get(pk=bag.pk)
    assert (loading.mass_mg, loading.pieces) == (1_500_000, 3)
    assert (left.pieces_left, left.lot.held_mg) == (7, 3_500_000)


def test_takes_the_rest_of_a_bag(bag, operator):
    run = make_run(operator, "granulate")
    load(run, bag.lot, operator, pieces=3)
    assert load(run, bag.lot, operator).pieces == 7
    assert Part.objects.get(pk=bag.pk).pieces_left == 0


@pytest.mark.parametrize("pieces", [0, -1, 11])
def test_refuses_pieces_that_are_not_there(bag, operator, pieces):
    run = make_run(operator, "granulate")
    portion = Portion(bag.lot, None, pieces)
    with refused("short"):
        load_run(run=run, portion=portion, act=make_act(operator))


def test_a_piece_of_which_little_is_left_can_still_be_loaded(lot, operator):
    part, run = make_part(operator, lot, KG), make_run(operator, "granulate")
    dispose_lot(lot=part.lot, mass=Mass(900_000), act=make_act(operator, "broke off"))
    assert load(run, part.lot, operator).mass_mg == 100_000


def test_refuses_a_part_that_was_used_up(lot, operator):
    part, run = make_part(operator, lot, KG), make_run(operator, "granulate")
    load(run, part.lot, operator)
    with refused("empty"):
        load(run, part.lot, operator)


def test_takes_the_book_mass_where_the_scale_shows_a_trace_more(lot, operator):
    """U of one reading at d = 10 g is 5.77 g (JCGM 100, 4.3.7)."""
    part, run = make_part(operator, lot, KG), make_run(operator, "granulate")
    loading = load_weighed(run, part.lot, operator, KG + 5_700, ScaleFactory())
    assert loading.mass_mg == KG


def test_refuses_a_part_that_became_heavier_than_the_scale_explains(lot, operator):
    part, run, scale = make_part(operator, lot, KG), make_run(operator, "granulate"), ScaleFactory()
    with refused("short"):
        load_weighed(run, part.lot, operator, KG + 5_800, scale)


def test_a_part_may_be_pressed_again(lot, operator):
    part, run = make_part(operator, lot, KG), make_run(operator)
    assert load(run, part.lot, operator).part == part


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


# Carrying over


@pytest.fixture
def begun(run, lot, operator):
    """6 kg loaded, 2 kg weighed out, 4 kg in the hopper."""
    load(run, lot, operator, 6 * KG)
    weigh_out(run, operator, "part", 2 * KG, pieces=1)
    return run


def test_carries_what_is_left_into_the_next_charge(begun, lot, operator):
    carried = carry_over(run=begun, act=make_act(operator))
    assert (carried.charge.number, carried.mass_mg) == (2, 4 * KG)
    assert [balance.left_mg for balance in balances(begun)] == [0, 4 * KG]
    assert [(row.lot, row.share) for row in origins_of(carried.charge.lot)] == [(lot, 1.0)]


def test_tops_up_what_was_carried_over(begun, operator):
    second = make_delivery(operator).lot
    carry_over(run=begun, act=make_act(operator))
    charge = load(begun, second, operator, 4 * KG).charge
    assert (charge.number, [row.share for row in origins_of(charge.lot)]) == (2, [0.5, 0.5])


def test_what_is_carried_over_is_as_uncertain_as_what_it_came_from(run, lot, operator):
    load_weighed(run, lot, operator, 6 * KG, ScaleFactory())
    weigh_out(run, operator, "part", 2 * KG, pieces=1)
    carried = carry_over(run=run, act=make_act(operator))
    assert carried.posting.transfers.get().uncertainty_ug == 2_886_752


def test_refuses_to_carry_over_before_anything_was_yielded(run, lot, operator):
    load(run, lot, operator, 6 * KG)
    with refused("empty"):
        carry_over(run=run, act=make_act(operator))


def test_refuses_to_carry_over_nothing(begun, operator):
    weigh_out(begun, operator, "part", 4 * KG, pieces=1)
    with refused("empty"):
        carry_over(run=begun, act=make_act(operator))


def test_refuses_to_carry_over_a_charge_on_hold(begun, operator):
    hold_lot(lot=Charge.objects.get().lot, act=make_act(operator, "a screw fell in"))
    with refused("on-hold"):
        carry_over(run=begun, act=make_act(operator))


def test_a_repeated_carrying_over_is_one(begun, operator):
    act = make_act(operator)
    first = carry_over(run=begun, act=act)
    assert carry_over(run=begun, act=act) == first
    assert Load.objects.count() == 2


def test_carried_back_the_first_charge_holds_it_again(begun, operator, lead):
    carried = carry_over(run=begun, act=make_act(operator))
    reverse_posting(posting=carried.posting, act=make_act(lead, "too early"))
    assert [balance.left_mg for balance in balances(begun)] == [4 * KG]


def test_refuses_to_undo_a_load_that_has_yielded_and_names_the_yield(begun, operator, lead):
    loading, yielding = Posting.objects.get(kind="load"), Posting.objects.get(kind="yield")
    with refused("later-postings") as refusal:
        reverse_posting(posting=loading, act=make_act(lead, "wrong bin"))
    assert yielding.number in "".join(refusal.value.messages)


def test_a_part_may_be_collected_in_a_bin_before_it_is_ground(lot, operator):
    part, bin = make_part(operator, lot, KG), BinFactory()
    move_lot(lot=part.lot, bin=bin, act=make_act(operator))
    assert Lot.objects.get(bin=bin).form == "sheet"
