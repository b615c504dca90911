"""Corrections of loads and yields: charges, their gaps, and what names their postings."""

import pytest

from inventory.actions.lots import move_lot
from inventory.models import Lot, Mass, Posting
from inventory.queries.lots import open_lot_in
from inventory.queries.verification import first_fault
from products.actions.bags import divide_bag
from products.actions.fixings import put_in
from products.models import Part
from tests.factories.book import refused, sentence
from tests.factories.fixings import bag_of, clip_design, stool_design
from tests.factories.fixings import made as made_of
from tests.factories.inventory import (
    KG,
    BinFactory,
    ScaleFactory,
    grams,
    make_act,
    make_delivery,
    make_full_bin,
    polymer,
)
from tests.factories.mendings import make_fix, mend
from tests.factories.workshop import (
    DesignFactory,
    load,
    load_weighed,
    make_part,
    make_run,
    weigh_out,
    weigh_out_on,
)
from tests.kept import kept
from workshop.actions.charges import carry_over
from workshop.actions.corrections import correct_postings, draft_correction
from workshop.actions.runs import abandon_run, close_run, reopen_run
from workshop.models import Charge, Load, Yield
from workshop.queries.accounts import account_of
from workshop.queries.corrections import effect_of
from workshop.queries.runs import balances

pytestmark = pytest.mark.django_db


def correct(by, *fixes, **more):
    return mend(by, *fixes, correct=correct_postings, **more)


@pytest.fixture
def lot(operator):
    return make_full_bin(operator)[1]


@pytest.fixture
@kept
def pressed(operator, lot):
    """A closed run: 3 kg in, a part of 2 kg and 1 kg of offcuts out."""
    run, bin = make_run(operator), BinFactory()
    load(run, lot, operator, 3 * KG)
    weigh_out(run, operator, "part", 2 * KG, pieces=1)
    weigh_out(run, operator, "offcut", 1 * KG, bin=bin)
    close_run(run=run, act=make_act(operator))
    return run


def loaded(run):
    return Load.objects.filter(charge__run=run).latest("pk").posting


def made(run, kind):
    return Yield.objects.filter(charge__run=run, kind=kind).latest("pk").posting


def closings(run):
    rows = Posting.objects.standing().filter(reference=run.reference)
    rows = rows.filter(transfers__target=None, transfers__role__in=["loss", "difference"])
    return [(row.kind, row.transfers.get().mass_mg, row.transfers.get().role) for row in rows]


def sides(run):
    account = account_of(balances(run))
    return account.in_mg, account.out_mg


def test_a_closed_charge_asks_for_a_name_of_its_new_gap(pressed, lead):
    with refused("gap") as refusal:
        correct(lead, make_fix(loaded(pressed), 3.2))
    assert "200 g" in sentence(refusal)


def test_a_closed_charge_books_its_new_gap_once_it_is_named(pressed, lead):
    correct(lead, make_fix(loaded(pressed), 3.2), loss="burnt in the mould")
    assert closings(pressed) == [("close", 200_000, "loss")]
    assert Posting.objects.filter(kind="close").latest("pk").reason.endswith("burnt in the mould")
    assert sides(pressed) == (3_200_000, 3_200_000)
    assert first_fault() is None


def test_a_gap_that_was_booked_is_booked_anew(operator, lead, lot):
    run = make_run(operator)
    load(run, lot, operator, 3 * KG)
    weigh_out(run, operator, "part", 2 * KG, pieces=1)
    close_run(run=run, act=make_act(operator, "swept away"))
    correct(lead, make_fix(made(run, "part"), 2.5), loss="swept away")
    assert closings(run) == [("correct", 500_000, "loss")]
    correct(lead, make_fix(made(run, "part"), 3))
    assert (closings(run), sides(run)) == ([], (3 * KG, 3 * KG))
    assert first_fault() is None


def test_a_gap_within_the_weighings_is_a_weighing_difference(operator, lead, lot):
    run, scale = make_run(operator), ScaleFactory()
    load_weighed(run, lot, operator, 3 * KG, scale)
    weigh_out_on(scale, run, operator, "part", 3 * KG, pieces=1)
    close_run(run=run, act=make_act(operator))
    correct(lead, make_fix(made(run, "part"), 2.996))
    assert closings(run) == [("close", 4_000, "difference")]


def test_what_weighs_more_than_was_loaded_is_a_gain_within_the_weighings(operator, lead, lot):
    run, scale = make_run(operator), ScaleFactory()
    load_weighed(run, lot, operator, 3 * KG, scale)
    weigh_out_on(scale, run, operator, "part", 3 * KG, pieces=1)
    close_run(run=run, act=make_act(operator))
    correct(lead, make_fix(loaded(run), 2.996))
    gain = Lot.objects.get(kind="gain")
    assert (gain.in_mg, gain.out_mg, gain.origin_class) == (4_000, 4_000, "unknown")
    assert sides(run) == (3 * KG, 3 * KG)
    assert first_fault() is None


def test_what_the_scales_do_not_explain_names_the_yield_to_mend(pressed, lead):
    with refused("over") as refusal:
        correct(lead, make_fix(loaded(pressed), 2.8))
    assert made(pressed, "offcut").number in sentence(refusal)
    correct(lead, make_fix(loaded(pressed), 2.8), make_fix(made(pressed, "offcut"), 0.8))
    assert (closings(pressed), first_fault()) == ([], None)


def test_a_load_and_a_yield_follow_to_what_replaces_them(pressed, lead):
    correct(lead, make_fix(loaded(pressed), 2.8), make_fix(made(pressed, "offcut"), 0.8))
    (balance,) = balances(pressed)
    assert [load.mass_mg for load in balance.loads] == [2_800_000]
    assert [(row.kind, row.mass_mg) for row in balance.yields] == [
        ("part", 2 * KG),
        ("offcut", 800_000),
    ]


def test_a_part_names_what_replaces_its_making(pressed, lead):
    head = correct(lead, make_fix(made(pressed, "part"), 1.9), loss="trimmed off")
    part = Part.objects.get()
    assert (part.made_in, part.run_number, part.lot.in_mg) == (head, pressed.number, 1_900_000)


def test_pieces_weighed_together_share_the_mended_mass(operator, lead, lot):
    run = make_run(operator)
    load(run, lot, operator, 3 * KG)
    weigh_out(run, operator, "part", 3 * KG, pieces=3)
    correct(lead, make_fix(made(run, "part"), 2.4))
    assert [part.lot.in_mg for part in Part.objects.all()] == [800_000] * 3


def test_what_was_carried_on_follows_into_the_next_charge(operator, lead, lot):
    run, bin = make_run(operator, "granulate"), BinFactory()
    load(run, lot, operator, 3 * KG)
    weigh_out(run, operator, "material", 2 * KG, bin=bin)
    carry_over(run=run, act=make_act(operator))
    weigh_out(run, operator, "material", KG, bin=bin)
    close_run(run=run, act=make_act(operator))
    correct(lead, make_fix(Load.objects.first().posting, 3.5), loss="dust")
    assert [charge.lot.held_mg for charge in Charge.objects.all()] == [0, 0]
    assert Load.objects.latest("pk").mass_mg == 1_500_000
    assert closings(run) == [("close", 500_000, "loss")]
    assert first_fault() is None


def test_an_abandoned_run_disposes_of_what_was_loaded_in_truth(operator, lead, lot):
    run = make_run(operator)
    load(run, lot, operator, 3 * KG)
    abandon_run(run=run, act=make_act(operator, "heater failed"))
    correct(lead, make_fix(loaded(run), 3.5))
    charge = Charge.objects.get().lot
    assert (charge.in_mg, charge.given.latest("pk").role) == (3_500_000, "disposed")
    assert first_fault() is None


def test_a_closed_run_is_opened_again_after_a_correction(pressed, lead):
    correct(lead, make_fix(loaded(pressed), 3.2), loss="burnt in the mould")
    correct(lead, make_fix(loaded(pressed), 3.3), loss="burnt in the mould")
    reopen_run(run=pressed, act=make_act(lead, "more to weigh"))
    assert Charge.objects.get().lot.held_mg == 300_000
    assert first_fault() is None


def test_a_load_went_into_another_run(operator, lead, lot):
    wrong, right = make_run(operator), make_run(operator)
    for run in (wrong, right):
        load(run, lot, operator, 2 * KG)
    target = Charge.objects.get(run=right).lot
    head = correct(lead, make_fix(loaded(wrong), target=target))
    target.refresh_from_db()
    assert (head.reference, target.in_mg) == (right.reference, 4 * KG)
    assert Load.objects.get(posting=head).charge.run == right


def test_a_load_is_not_led_into_a_charge_that_had_yielded(pressed, operator, lead, lot):
    run = make_run(operator)
    load(run, lot, operator, 2 * KG)
    target = Charge.objects.get(run=pressed).lot
    with refused("sealed"):
        correct(lead, make_fix(loaded(run), target=target), loss="lost")


def test_a_yield_came_out_of_another_charge_of_the_same_making(operator, lead, lot):
    design = DesignFactory()
    wrong, right = make_run(operator, design=design), make_run(operator, design=design)
    for run in (wrong, right):
        load(run, lot, operator, 2 * KG)
    weigh_out(wrong, operator, "part", KG, pieces=1)
    head = correct(lead, make_fix(made(wrong, "part"), source=Charge.objects.get(run=right).lot))
    assert Yield.objects.get(posting=head).charge.run == right
    assert Part.objects.get().run_number == right.number


def test_a_yield_may_be_said_to_come_from_where_it_came_from_beside_another_fix(
    operator, lead, lot
):
    run, place = make_run(operator), BinFactory()
    load(run, lot, operator, 2 * KG)
    weigh_out(run, operator, "part", KG, pieces=1)
    moved = move_lot(
        lot=make_delivery(operator).lot, bin=place, mass=Mass(KG), act=make_act(operator)
    )
    same = make_fix(made(run, "part"), source=Charge.objects.get(run=run).lot)
    assert correct(lead, same, make_fix(moved, 2)).replaces == moved


def test_a_yield_is_not_led_to_a_run_that_makes_something_else(operator, lead, lot):
    wrong, right = make_run(operator), make_run(operator)
    for run in (wrong, right):
        load(run, lot, operator, 2 * KG)
    weigh_out(wrong, operator, "part", KG, pieces=1)
    with refused("wrong-charge"):
        correct(lead, make_fix(made(wrong, "part"), source=Charge.objects.get(run=right).lot))


def test_a_part_is_not_made_of_itself(operator, lead, lot):
    part = make_part(operator, lot, 2 * KG)
    load_posting = Load.objects.get().posting
    with refused("ring") as refusal:
        correct(lead, make_fix(load_posting, source=part.lot))
    assert "made of itself" in sentence(refusal)


def test_what_a_design_is_not_made_of_never_went_into_it(operator, lead, lot):
    design = DesignFactory()
    design.polymers.add(polymer("PE-HD"))
    run, pp = make_run(operator, design=design), make_full_bin(operator, polymer="PP")[0]
    load(run, lot, operator, 2 * KG)
    weigh_out(run, operator, "part", 2 * KG, pieces=1)
    with refused("polymer-mismatch"):
        correct(lead, make_fix(loaded(run), source=pp))


def test_reject_material_never_went_into_a_machine(operator, lead, lot):
    bad = make_full_bin(operator, polymer="POM")[1]
    bad.holds.update(lifted_at=bad.opened_at, lifted_by=lead, lift_reason="seen")
    run = make_run(operator)
    load(run, lot, operator, 2 * KG)
    with refused("rejected-polymer"):
        correct(lead, make_fix(loaded(run), source=bad.bin))


def test_a_run_that_takes_no_bins_was_not_loaded_from_one(operator, lead, lot):
    sheet = make_part(operator, lot, 2 * KG)
    run = make_run(operator, "cut")
    load(run, sheet.lot, operator)
    with refused("wrong-load"):
        correct(lead, make_fix(loaded(run), source=lot.bin))


def test_a_worn_part_has_lost_what_the_mended_load_leaves_of_it(operator, lead, lot):
    part, run = make_part(operator, lot, 2 * KG), make_run(operator, "granulate")
    load(run, part.lot, operator, 1_900_000)
    correct(lead, make_fix(loaded(run), 1.8))
    part.lot.refresh_from_db()
    worn = part.lot.given.get(role="loss", reversed_by=None, reverses=None)
    assert (part.lot.held_mg, worn.mass_mg) == (0, 200_000)


def given_of(part):
    part = Part.objects.select_related("lot").get(pk=part.pk)
    rows = part.lot.given.filter(reverses=None, reversed_by=None).order_by("pk")
    return part.pieces_left, list(rows.values_list("role", "mass_mg"))


def test_a_bag_keeps_its_pieces_when_it_is_corrected_after_some_were_worn(operator, lead, lot):
    bag = bag_of(operator, clip_design(), 5, 5 * KG)
    load(make_run(operator, "granulate"), bag.lot, operator, 1_800_000, pieces=2)
    correct(lead, make_fix(bag.made_in, 4.75), loss="flash")
    assert given_of(bag) == (3, [("loaded", 1_800_000), ("loss", 100_000)])


def test_nothing_is_left_of_a_sheet_that_was_cut_up_and_turns_out_otherwise(operator, lead, lot):
    sheet, run = make_part(operator, lot, 4 * KG), make_run(operator, "cut")
    load(run, sheet.lot, operator)
    correct(lead, make_fix(sheet.made_in, 3.9), loss="flash")
    assert given_of(sheet) == (0, [("loaded", 3_900_000)])
    assert Load.objects.latest("pk").mass_mg == account_of(balances(run)).in_mg == 3_900_000
    correct(lead, make_fix(loaded(run), 3.8))
    assert given_of(sheet) == (0, [("loaded", 3_800_000), ("loss", 100_000)])
    correct(lead, make_fix(Part.objects.get().made_in, 4))
    assert given_of(sheet) == (0, [("loaded", 3_800_000), ("loss", 200_000)])


def test_nothing_is_left_of_the_sheet_that_was_cut_in_fact(operator, lead, lot):
    scanned, cut = make_part(operator, lot, 4 * KG), make_part(operator, lot, 4_200_000)
    run = make_run(operator, "cut")
    load(run, scanned.lot, operator)
    fix = make_fix(loaded(run), source=cut.lot)
    correct(lead, fix, shown=effect_of(draft_correction(fixes=[fix])).token)
    assert (given_of(scanned), given_of(cut)) == ((1, []), (0, [("loaded", 4_200_000)]))
    back = make_fix(loaded(run), 3.9, source=scanned.lot)
    correct(lead, back, shown=effect_of(draft_correction(fixes=[back])).token)
    assert given_of(scanned) == (0, [("loss", 100_000), ("loaded", 3_900_000)])
    assert Load.objects.latest("pk").pieces == 1


def test_closing_is_corrected_by_what_it_follows_from(operator, lead, lot):
    run = make_run(operator)
    load(run, lot, operator, 3 * KG)
    weigh_out(run, operator, "part", 2 * KG, pieces=1)
    close_run(run=run, act=make_act(operator, "swept away"))
    with refused("follows"):
        correct(lead, make_fix(Posting.objects.get(kind="close"), 2))


def test_a_yield_into_another_bin_leaves_the_charge_as_it_was(pressed, operator, lead):
    bin = BinFactory()
    head = correct(lead, make_fix(made(pressed, "offcut"), target=bin))
    assert (open_lot_in(bin).held_mg, open_lot_in(bin).form) == (KG, "offcut")
    assert Yield.objects.get(posting=head).bin == bin


def test_two_loads_from_the_floor_are_told_apart(operator, lead):
    first, second = make_delivery(operator).lot, make_delivery(operator).lot
    move_lot(lot=first, bin=BinFactory(), mass=grams(1000), act=make_act(operator))
    run = make_run(operator)
    load(run, first, operator, 2 * KG)
    correct(lead, make_fix(loaded(run), source=second))
    assert Load.objects.latest("pk").source == second


@pytest.fixture
@kept
def assembled(operator, lead):
    """A clip in a stool."""
    clip = clip_design()
    stool = made_of(operator, stool_design(lead, clip))
    return put_in(holder=stool, part=made_of(operator, clip), act=make_act(operator))


@pytest.mark.parametrize("which", ["holder", "part"])
def test_what_is_put_together_is_not_corrected_away(assembled, lead, which):
    making = getattr(assembled, which).made_in
    with refused("assembled"):
        correct(lead, make_fix(making, is_out=True), loss="never made")


def test_what_is_put_together_may_turn_out_to_weigh_something_else(assembled, lead):
    correct(lead, make_fix(assembled.part.made_in, 0.9), loss="dust")
    part = Part.objects.get(pk=assembled.part.pk)
    assert part.lot.held_mg == 900_000
    assert part.lot.assembled_at
    assert first_fault() is None


def test_pieces_follow_when_their_bag_turns_out_to_weigh_something_else(operator, lead):
    bag = bag_of(operator, clip_design(), 50, 1_000_000)
    some = divide_bag(bag=bag, pieces=20, act=make_act(operator))
    fewer = divide_bag(bag=some, pieces=5, act=make_act(operator))
    correct(lead, make_fix(bag.made_in, 0.5), loss="typed twice")
    held = [Part.objects.get(pk=part.pk).lot.held_mg for part in (bag, some, fewer)]
    assert held == [300_000, 150_000, 50_000]  # 30, 15 and 5 pieces of 10 g
    assert [Part.objects.get(pk=part.pk).pieces_left for part in (bag, some)] == [30, 15]
    assert first_fault() is None


def test_the_giving_of_pieces_is_undone_and_not_corrected(operator, lead):
    bag = bag_of(operator, clip_design(), 50)
    divide_bag(bag=bag, pieces=20, act=make_act(operator))
    with refused("follows"):
        correct(lead, make_fix(Posting.objects.get(kind="divide"), 0.1))
