"""Weighing out: parts, bins, waste, and what the scales cannot explain."""

from dataclasses import replace

import pytest

from inventory.actions.lots import hold_lot
from inventory.actions.postings import reverse_posting
from inventory.actions.recalls import lift_recall, start_recall
from inventory.models import Lot, Mass, Posting, Transfer
from inventory.queries.lots import open_lot_in
from inventory.queries.recalls import whereabouts
from inventory.queries.traces import make_up_of, origins_of
from products.models import Part
from tests.factories.book import refused, written
from tests.factories.inventory import (
    KG,
    BinFactory,
    ScaleFactory,
    colour,
    make_act,
    make_full_bin,
    polymer,
)
from tests.factories.mendings import make_fix, mend
from tests.factories.workshop import (
    DesignFactory,
    load,
    load_weighed,
    make_run,
    weigh_out,
    weigh_out_on,
)
from workshop.actions.corrections import correct_postings
from workshop.actions.yields import Outcome, yield_from_run
from workshop.calculations.operations import RULES
from workshop.models import Charge, Load, Yield
from workshop.queries.runs import balances

pytestmark = pytest.mark.django_db


@pytest.fixture
def lot(operator):
    return make_full_bin(operator)[1]


@pytest.fixture
def run(operator, lot):
    """A press loaded with 6 kg."""
    run = make_run(operator)
    load(run, lot, operator, 6 * KG)
    return run


@pytest.fixture
def weighed(operator, lot):
    """A press loaded with 6 kg on a scale with steps of 10 g."""
    run, scale = make_run(operator), ScaleFactory()
    load_weighed(run, lot, operator, 6 * KG, scale)
    return run, scale


def test_makes_a_part_of_each_piece_and_shares_the_mass_to_the_milligram(run, operator):
    weigh_out(run, operator, "part", 5 * KG, pieces=3)
    masses = [part.lot.held_mg for part in Part.objects.order_by("pk")]
    assert masses == [1_666_667, 1_666_667, 1_666_666]
    assert all(part.code == part.lot.code for part in Part.objects.all())


def test_pieces_weighed_together_share_the_doubt_of_the_one_weighing(weighed, operator):
    run, scale = weighed
    weigh_out_on(scale, run, operator, "part", 4 * KG, pieces=4)
    doubts = Transfer.objects.filter(role="part").values_list("uncertainty_ug", flat=True)
    assert list(doubts) == [1_443_376] * 4  # 2.886751 g / sqrt 4


def test_a_bag_is_one_part_of_many_pieces(lot, operator):
    run = make_run(operator, "inject", DesignFactory(made_by="inject", form="part", tracked="bag"))
    load(run, lot, operator, 6 * KG)
    weigh_out(run, operator, "part", 5 * KG, pieces=900)
    assert (Part.objects.get().pieces, Part.objects.get().lot.held_mg) == (900, 5 * KG)


def test_parts_were_melted_and_leftover_was_not(run, operator):
    weigh_out(run, operator, "part", KG, pieces=1)
    weigh_out(run, operator, "leftover", KG, bin=BinFactory())
    assert dict(Transfer.objects.filter(posting__kind="yield").values_list("role", "melted")) == {
        "part": True,
        "leftover": False,
    }
    part = Part.objects.get()
    assert [segment.label for segment in make_up_of(part.lot).by_passes] == ["1"]


def test_leftover_keeps_the_form_in_which_it_was_loaded(run, operator):
    bin = BinFactory()
    weigh_out(run, operator, "leftover", KG, bin=bin)
    assert open_lot_in(bin).form == "flake"


def test_tops_up_a_bin_of_offcuts(run, operator):
    bin = BinFactory()
    weigh_out(run, operator, "offcut", KG, bin=bin)
    weigh_out(run, operator, "offcut", 2 * KG, bin=bin)
    assert open_lot_in(bin).held_mg == 3 * KG


def test_throws_away_with_a_reason(run, operator):
    weigh_out(run, operator, "offcut", KG, reason="burnt")
    transfer = Transfer.objects.latest("pk")
    assert (transfer.role, transfer.target, transfer.posting.reason) == ("disposed", None, "burnt")


def test_refuses_to_throw_away_without_a_reason(run, operator):
    with refused("reason"):
        weigh_out(run, operator, "offcut", KG)


NEVER = [
    (operation, kind)
    for operation, rule in RULES.items()
    for kind in Yield.Kind.values
    if kind not in rule.yields
]


@pytest.mark.parametrize(("operation", "kind"), NEVER)
def test_refuses_what_an_operation_does_not_give(operator, operation, kind, lot):
    run, bin = make_run(operator, operation), BinFactory()
    loaded = Lot(kind="charge", polymer=lot.polymer, colour=lot.colour, form="flake")
    loaded.opened_at, loaded.in_mg = lot.opened_at, KG
    loaded.save()
    Charge.objects.create(run=run, number=1, lot=loaded)
    with refused("wrong-yield"):
        weigh_out(run, operator, kind, 1000, pieces=1, bin=bin, reason="test")


def test_refuses_to_weigh_out_of_an_empty_machine(operator):
    run = make_run(operator)
    with refused("no-charge"):
        weigh_out(run, operator, "part", KG, pieces=1)


def test_refuses_a_charge_that_does_not_exist(run, operator):
    with refused("no-charge"):
        weigh_out(run, operator, "part", KG, pieces=1, charge_number=9)


def test_weighs_out_of_an_earlier_charge_by_its_number(run, lot, operator):
    weigh_out(run, operator, "part", KG, pieces=1)
    load(run, lot, operator, KG)
    weigh_out(run, operator, "part", KG, pieces=1, charge_number=1)
    assert [balance.left_mg for balance in balances(run)] == [4 * KG, KG]


def test_refuses_parts_without_a_design(lot, operator):
    run = make_run(operator, "extrude")
    load(run, lot, operator, KG)
    with refused("needs-design"):
        weigh_out(run, operator, "part", KG, pieces=1)


@pytest.mark.parametrize("pieces", [0, -1, 501])
def test_refuses_a_count_that_cannot_be(run, operator, pieces):
    with refused("pieces"):
        weigh_out(run, operator, "part", KG, pieces=pieces)


def test_refuses_pieces_of_less_than_a_milligram(run, operator):
    with refused("pieces"):
        weigh_out(run, operator, "part", 2, pieces=3)


@pytest.mark.parametrize("mass_mg", [0, -KG])
def test_refuses_to_weigh_out_nothing(run, operator, mass_mg):
    outcome = Outcome("offcut", Mass(mass_mg), bin=BinFactory())
    with refused("mass"):
        yield_from_run(run=run, outcome=outcome, act=make_act(operator))


def test_refuses_a_bin_kept_for_another_polymer(run, operator):
    bin = BinFactory(polymer=polymer("PP"))
    with refused("polymer-mismatch"):
        weigh_out(run, operator, "offcut", KG, bin=bin)


def test_refuses_a_bin_kept_for_another_colour(run, operator):
    bin = BinFactory(colour=colour("red"))
    with refused("colour-mismatch"):
        weigh_out(run, operator, "offcut", KG, bin=bin)


def test_refuses_a_bin_without_room(run, operator):
    bin = BinFactory(capacity_mg=KG - 1)
    with refused("overfull"):
        weigh_out(run, operator, "offcut", KG, bin=bin)


def test_refuses_a_bin_whose_fill_is_on_hold(run, lot, operator):
    hold_lot(lot=lot, act=make_act(operator, "smells"))
    with refused("on-hold"):
        weigh_out(run, operator, "leftover", KG, bin=lot.bin)


@pytest.fixture
def held_run(run, operator):
    """A run whose charge was put on hold while it was in the machine."""
    hold_lot(lot=Charge.objects.get().lot, act=make_act(operator, "a screw fell in"))
    return run


def reasons(lot):
    return [hold.reason for hold in lot.holds.open()]


def test_a_part_of_a_held_charge_is_on_hold_for_the_same_reason(held_run, operator):
    weigh_out(held_run, operator, "part", KG, pieces=2)
    assert [reasons(part.lot) for part in Part.objects.all()] == [["a screw fell in"]] * 2


def test_what_a_held_charge_leaves_in_an_empty_bin_is_on_hold(held_run, operator):
    bin = BinFactory()
    weigh_out(held_run, operator, "offcut", KG, bin=bin)
    weigh_out(held_run, operator, "offcut", KG, bin=bin)
    assert reasons(open_lot_in(bin)) == ["a screw fell in"]


def test_a_held_charge_is_not_mixed_with_what_is_free(run, operator):
    bin = BinFactory()
    weigh_out(run, operator, "offcut", KG, bin=bin)
    hold_lot(lot=Charge.objects.get().lot, act=make_act(operator, "a screw fell in"))
    with refused("on-hold"):
        weigh_out(run, operator, "offcut", KG, bin=bin)


def test_a_held_charge_may_be_thrown_away(held_run, operator):
    assert weigh_out(held_run, operator, "offcut", KG, reason="a screw fell in")


def test_a_recall_counts_what_its_held_charge_became(run, lead, operator):
    recall = start_recall(lots=[Charge.objects.get().lot], act=make_act(lead, "smells"))
    weigh_out(run, operator, "part", KG, pieces=1)
    assert recall.holds.filter(lot=Part.objects.get().lot).count() == 1


def test_what_two_recalls_with_one_reason_stopped_is_free_when_both_are_lifted(run, lead, operator):
    lots = [Charge.objects.get().lot]
    first, second = (start_recall(lots=lots, act=make_act(lead, "smells")) for _ in range(2))
    weigh_out(run, operator, "part", KG, pieces=1)
    part = Part.objects.get()
    lift_recall(recall=first, act=make_act(lead, "was the oil"))
    assert [each.recalls.get() for each in part.lot.holds.open()] == [second]


def test_refuses_more_than_the_charge_holds(run, operator):
    with refused("short"):
        weigh_out(run, operator, "part", 6 * KG + 1, pieces=1)


def test_what_the_scales_explain_comes_in_as_a_weighing_gain(weighed, operator):
    """U = 2 sqrt(2 (10 / (2 sqrt 3))^2) = 8.165 g (JCGM 100, 4.3.7 and 5.1.2)."""
    run, scale = weighed
    weigh_out_on(scale, run, operator, "part", 6 * KG + 8_164, pieces=1)
    gain = Lot.objects.get(kind="gain")
    assert (gain.in_mg, gain.out_mg, gain.origin_class) == (8_164, 8_164, "unknown")
    assert Part.objects.get().lot.held_mg == 6 * KG + 8_164
    assert gain in {row.lot for row in origins_of(Part.objects.get().lot)}


def test_a_gain_is_shared_by_the_pieces_it_was_found_in(weighed, operator):
    run, scale = weighed
    weigh_out_on(scale, run, operator, "part", 6 * KG + 6_000, pieces=3)
    assert [part.lot.held_mg for part in Part.objects.all()] == [2_002_000] * 3
    assert Charge.objects.get().lot.held_mg == 0


def test_no_piece_is_of_a_gain_alone_so_each_is_found_with_what_was_loaded(weighed, operator):
    run, scale = weighed
    weigh_out_on(scale, run, operator, "part", 6 * KG - 3_000, pieces=1)
    weigh_out_on(scale, run, operator, "part", 9_000, pieces=6)
    small = list(Part.objects.order_by("pk"))[1:]
    charge = Charge.objects.get().lot
    masses = [part.lot.taken.get(source=charge).mass_mg for part in small]
    assert (masses, {part.lot.in_mg for part in small}) == ([500] * 6, {1_500})
    assert {part.lot for part in small} <= {each.lot for each in whereabouts([charge]).holders}


def test_a_correction_keeps_pieces_that_weighed_more_than_was_loaded(weighed, operator, lead):
    run, scale = weighed
    weigh_out_on(scale, run, operator, "part", 6 * KG - 3_000, pieces=1)
    weigh_out_on(scale, run, operator, "part", 9_000, pieces=6)
    load = Load.objects.get().posting
    mass = Mass.weighed(6 * KG + 2_000, scale)
    mend(lead, replace(make_fix(load), mass=mass), correct=correct_postings)
    small = list(Part.objects.order_by("pk"))[1:]
    assert [part.lot.in_mg for part in small] == [1_500] * 6
    charge = Charge.objects.get().lot
    taken = [part.lot.taken.get(source=charge, reversed_by=None) for part in small]
    given = [row.mass_mg for row in taken]
    assert given == [833] * 4 + [834] * 2  # 5 g were left for them, and 4 g only the scale found


def test_refuses_a_gain_that_the_scales_do_not_explain(weighed, operator):
    run, scale = weighed
    with refused("short"):
        weigh_out_on(scale, run, operator, "part", 6 * KG + 8_166, pieces=1)


def test_refuses_gains_that_add_up_to_more_than_the_scales_explain(weighed, operator):
    run, scale = weighed
    weigh_out_on(scale, run, operator, "part", 6 * KG + 8_000, pieces=1)
    with refused("short"):
        weigh_out_on(scale, run, operator, "part", 3_000, pieces=1)


def test_waste_that_weighs_a_trace_more_is_booked_with_what_there_was(weighed, operator):
    run, scale = weighed
    weigh_out_on(scale, run, operator, "offcut", 6 * KG + 5_000, reason="burnt")
    assert Transfer.objects.latest("pk").mass_mg == 6 * KG
    assert not Lot.objects.filter(kind="gain").exists()


def test_refuses_waste_from_a_charge_that_holds_nothing(weighed, operator):
    run, scale = weighed
    weigh_out_on(scale, run, operator, "part", 6 * KG, pieces=1)
    with refused("short"):
        weigh_out_on(scale, run, operator, "offcut", 1_000, reason="swept up")


def test_undoing_a_yield_with_a_gain_takes_the_gain_back(weighed, operator, lead):
    run, scale = weighed
    wrong = weigh_out_on(scale, run, operator, "part", 6 * KG + 8_000, pieces=1)
    reverse_posting(posting=wrong.posting, act=make_act(lead, "scale not at zero"))
    gain = Lot.objects.get(kind="gain")
    assert (gain.in_mg, gain.out_mg) == (0, 0)
    assert (Charge.objects.get().lot.held_mg, Part.objects.made().count()) == (6 * KG, 0)


def test_undoing_a_yield_into_a_bin_gives_the_bin_back_what_it_held(run, operator, lead):
    bin = BinFactory()
    weigh_out(run, operator, "offcut", KG, bin=bin)
    fill = open_lot_in(bin)
    wrong = weigh_out(run, operator, "leftover", KG, bin=bin)
    reverse_posting(posting=wrong.posting, act=make_act(lead, "wrong bin"))
    again = open_lot_in(bin)
    assert (again, again.held_mg, again.form) == (fill, KG, "offcut")


def test_refuses_to_undo_parts_that_were_used_and_names_by_what(run, operator, lead):
    weigh_out(run, operator, "part", KG, pieces=1)
    made, grinding = Posting.objects.get(kind="yield"), make_run(operator, "granulate")
    used = load(grinding, Part.objects.get().lot, operator)
    with refused("later-postings") as refusal:
        reverse_posting(posting=made, act=make_act(lead, "wrong count"))
    assert used.posting.number in "".join(refusal.value.messages)


def test_a_repeated_yield_is_one_yield(run, operator):
    act, outcome = make_act(operator), Outcome("part", Mass(KG), 2)
    first = yield_from_run(run=run, outcome=outcome, act=act, is_confirmed=True)
    before = written()
    assert yield_from_run(run=run, outcome=outcome, act=act, is_confirmed=True) == first
    assert written() == before


def test_refuses_another_count_under_the_same_id(run, operator):
    act = make_act(operator)
    yield_from_run(run=run, outcome=Outcome("part", Mass(KG), 2), act=act, is_confirmed=True)
    with refused("key-reused"):
        yield_from_run(run=run, outcome=Outcome("part", Mass(KG), 3), act=act)
