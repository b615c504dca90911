"""Parts are put into other parts and taken out again; no mass moves by it."""

from uuid import uuid4

import pytest

from inventory.actions.lots import dispose_lot, hold_lot, lift_hold, move_lot
from inventory.actions.postings import reverse_posting
from inventory.actions.recalls import lift_recall, start_recall
from inventory.models import Change, Lot, Mass, Transfer
from inventory.queries.verification import first_fault
from products.actions.assemblies import ItemPlan, set_assembly
from products.actions.fixings import put_in, swap_part, take_out
from products.actions.parts import hand_over_part, take_back_part
from products.models import Fixing, Part
from tests.factories.book import refused, sentence, written
from tests.factories.fixings import bag_of, clip_design, made, stool_design
from tests.factories.inventory import KG, BinFactory, make_act
from tests.factories.workshop import load, make_run
from tests.kept import kept

pytestmark = pytest.mark.django_db


def put(holder, part, by, **more):
    return put_in(holder=holder, part=part, act=make_act(by), **more)


def test_put_in_it_keeps_its_lot_its_mass_and_its_mark(stool, loose, operator):
    before = list(Transfer.objects.values()), loose.lot.mark
    fixing = put(stool, loose, operator)
    assert (fixing.holder, fixing.part, fixing.line) == (stool, loose, 1)
    assert (fixing.put_in_by, fixing.taken_out_at) == (operator, None)
    loose = Part.objects.get(pk=loose.pk)
    assert (loose.lot.held_mg, loose.lot.mark) == (KG, before[1])
    assert list(Transfer.objects.values()) == before[0]
    assert Change.objects.latest("pk").verb == "put in"


def test_a_repeat_is_answered_with_its_own(stool, loose, operator):
    act = make_act(operator)
    first = put_in(holder=stool, part=loose, act=act)
    before = written()
    assert put_in(holder=stool, part=loose, act=act) == first
    assert written() == before


def test_taken_out_it_is_here_again_and_its_place_stays_readable(stool, loose, operator):
    put(stool, loose, operator)
    assert loose not in Part.objects.here()
    act = make_act(operator)
    fixing = take_out(part=loose, act=act, state="the hook broke")
    assert (fixing.taken_out_by, fixing.state_when_taken_out) == (operator, "the hook broke")
    assert loose in Part.objects.here()
    assert Fixing.objects.get().holder == stool
    assert take_out(part=loose, act=act, state="the hook broke") == fixing


def test_taken_out_it_can_be_granulated_like_any_other_part(stool, loose, operator):
    put(stool, loose, operator)
    take_out(part=loose, act=make_act(operator))
    load(make_run(operator, "granulate"), loose.lot, operator)
    assert Part.objects.used_up().get() == loose


def test_refuses_a_part_that_is_in_another_one(stool, loose, operator):
    other = made(operator, stool.design)
    put(stool, loose, operator)
    with refused("fixed") as refusal:
        put(other, loose, operator)
    assert "Stool" in sentence(refusal)


@pytest.mark.parametrize("which", ["part", "holder"])
def test_refuses_what_was_used_up(stool, loose, operator, which):
    gone = loose if which == "part" else stool
    load(make_run(operator, "granulate"), gone.lot, operator)
    with refused("used-up"):
        put(stool, loose, operator)


@pytest.mark.parametrize("which", ["part", "holder"])
def test_refuses_what_is_in_use(stool, loose, operator, which):
    away = loose if which == "part" else stool
    hand_over_part(part=away, act=make_act(operator))
    with refused("in-use"):
        put(stool, loose, operator)


def test_refuses_a_part_on_hold(stool, loose, operator):
    hold_lot(lot=loose.lot, act=make_act(operator, "brittle"))
    with refused("on-hold"):
        put(stool, loose, operator)


def test_refuses_itself(stool, operator):
    with refused("ring"):
        put(stool, stool, operator)


def test_refuses_a_ring_even_when_the_parts_lists_were_changed_meanwhile(
    stool, clip, loose, operator, lead
):
    put(stool, loose, operator)
    set_assembly(design=stool.design, items=[], joints=[], act=make_act(lead))
    clip.items.create(line=1, count=1, component=stool.design)
    with refused("ring"):
        put(loose, stool, operator)


def test_refuses_what_is_not_in_the_parts_list(stool, operator):
    hook = made(operator, clip_design("Hook"))
    with refused("not-in-list"):
        put(stool, hook, operator)


@pytest.mark.parametrize("line", [2, 9])
def test_refuses_a_line_that_takes_something_else(stool, loose, operator, line):
    with refused("not-in-list"):
        put(stool, loose, operator, line=line)


def test_refuses_more_than_the_line_counts(stool, clip, loose, operator):
    bag = bag_of(operator, clip, 3)
    put(stool, bag, operator)
    with refused("line-full"):
        put(stool, loose, operator)


def test_a_design_at_two_lines_goes_where_something_is_missing(lead, operator, clip):
    stool = made(operator, stool_design(lead, clip, clip, count=1))
    parts = [made(operator, clip) for _ in range(3)]
    assert [put(stool, part, operator).line for part in parts[:2]] == [1, 2]
    with refused("line-full"):
        put(stool, parts[2], operator)


def test_refuses_several_pieces_under_one_code_as_holder(lead, operator, clip, loose):
    stools = bag_of(operator, stool_design(lead, clip), 2, KG)
    with refused("bag-holder"):
        put(stools, loose, operator)


def test_refuses_to_take_out_what_is_in_nothing(loose, operator):
    with refused("not-fixed"):
        take_out(part=loose, act=make_act(operator))


def test_refuses_to_take_out_of_a_product_in_use(stool, loose, operator):
    put(stool, loose, operator)
    hand_over_part(part=stool, act=make_act(operator))
    with refused("in-use"):
        take_out(part=loose, act=make_act(operator))
    take_back_part(part=stool, act=make_act(operator))
    assert take_out(part=loose, act=make_act(operator)).taken_out_at


@pytest.fixture
@kept
def nested(lead, operator, clip, stool, loose):
    """A bench that holds the stool that holds the clip."""
    design = clip_design("Bench")
    design.items.create(line=1, count=1, component=stool.design)
    bench = made(operator, design)
    put(stool, loose, operator)
    put(bench, stool, operator)
    return bench


def test_what_is_in_a_product_in_use_is_changed_by_nobody(nested, stool, loose, clip, operator):
    another = made(operator, clip)
    hand_over_part(part=nested, act=make_act(operator))
    with refused("in-use"):
        put(stool, another, operator)
    with refused("in-use"):
        take_out(part=loose, act=make_act(operator))


def test_a_held_part_is_not_handed_over_by_itself(nested, stool, loose, operator):
    for part in (loose, stool):
        with refused("fixed"):
            hand_over_part(part=part, act=make_act(operator))
    assert hand_over_part(part=nested, act=make_act(operator)).part == nested


@pytest.mark.parametrize("which", ["holder", "part"])
def test_a_hold_on_either_stops_the_handing_over(nested, loose, operator, lead, which):
    held = nested if which == "holder" else loose
    hold = hold_lot(lot=held.lot, act=make_act(operator, "brittle"))
    with refused("on-hold"):
        hand_over_part(part=nested, act=make_act(operator))
    lift_hold(hold=hold, act=make_act(lead, "tried it"))
    assert hand_over_part(part=nested, act=make_act(operator)).part == nested


def test_neither_is_loaded_while_they_are_together(stool, loose, operator):
    put(stool, loose, operator)
    run = make_run(operator, "granulate")
    with refused("fixed"):
        load(run, loose.lot, operator)
    with refused("holds-parts"):
        load(run, stool.lot, operator)


def test_neither_gives_mass_in_any_other_way(stool, loose, operator):
    put(stool, loose, operator)
    bin = BinFactory()
    for lot in (stool.lot, loose.lot):
        with refused("assembled"):
            move_lot(lot=lot, bin=bin, act=make_act(operator))
        with refused("assembled"):
            dispose_lot(lot=lot, mass=Mass(1), act=make_act(operator, "fell"))


def test_the_making_of_neither_is_undone(stool, loose, operator, lead):
    put(stool, loose, operator)
    for part in (stool, loose):
        Lot.objects.filter(taken__posting=part.made_in).update(closed_at=None)
        Lot.objects.filter(given__posting=part.made_in).update(closed_at=None)
        with refused("assembled"):
            reverse_posting(posting=part.made_in, act=make_act(lead, "wrong count"))


def test_apart_again_both_give(nested, stool, loose, operator):
    take_out(part=stool, act=make_act(operator))
    run = make_run(operator, "granulate")
    with refused("holds-parts"):
        load(run, stool.lot, operator)
    take_out(part=loose, act=make_act(operator))
    for part in (nested, stool, loose):
        load(run, part.lot, operator)
    assert set(Part.objects.used_up()) == {nested, stool, loose}


def test_a_repeated_key_with_other_content_is_refused(stool, clip, loose, operator):
    key, another = uuid4(), made(operator, clip)
    put_in(holder=stool, part=loose, act=make_act(operator, key=key))
    with refused("key-reused"):
        put_in(holder=stool, part=another, act=make_act(operator, key=key))


def test_a_bag_gives_as_many_pieces_as_are_missing_under_a_code_of_their_own(stool, clip, operator):
    bag = bag_of(operator, clip, 50)
    act = make_act(operator)
    fixing = put_in(holder=stool, part=bag, act=act)
    assert (fixing.part.bag, fixing.part.pieces) == (bag, 3)
    assert Part.objects.get(pk=bag.pk).pieces_left == 47
    assert Part.objects.get(pk=bag.pk) in Part.objects.here()
    before = written()
    assert put_in(holder=stool, part=bag, act=act) == fixing
    assert written() == before


def test_a_bag_gives_so_many_pieces_as_are_named(stool, clip, operator):
    bag = bag_of(operator, clip, 50)
    assert put(stool, bag, operator, pieces=2).part.pieces == 2
    with refused("too-many"):
        put(stool, bag, operator, pieces=2)
    assert put(stool, bag, operator).part.pieces == 1
    assert first_fault() is None


def test_a_bag_of_no_more_than_is_missing_goes_in_itself(stool, clip, operator):
    bag = bag_of(operator, clip, 2)
    assert put(stool, bag, operator).part == bag


@pytest.mark.parametrize("pieces", [0, -1])
def test_refuses_to_put_in_no_piece(stool, clip, operator, pieces):
    bag = bag_of(operator, clip, 50)
    with refused("pieces"):
        put(stool, bag, operator, pieces=pieces)


def test_refuses_more_pieces_than_the_bag_has(stool, clip, operator):
    bag = bag_of(operator, clip, 2)
    with refused("pieces"):
        put(stool, bag, operator, pieces=3)


def test_one_of_several_pieces_comes_out_with_a_code_and_a_history_of_its_own(
    stool, clip, operator
):
    bag = bag_of(operator, clip, 3)
    put(stool, bag, operator)
    act = make_act(operator)
    fixing = take_out(part=bag, act=act, state="broken", pieces=1)
    assert (fixing.holder, fixing.part.bag, fixing.part.pieces) == (stool, bag, 1)
    assert fixing.put_in_at == Fixing.objects.get(part=bag).put_in_at
    assert take_out(part=bag, act=act, state="broken", pieces=1) == fixing
    assert fixing.part in Part.objects.here()
    load(make_run(operator, "granulate"), fixing.part.lot, operator)
    with refused("assembled"):
        dispose_lot(lot=bag.lot, mass=Mass(1), act=make_act(operator, "fell"))
    assert first_fault() is None


def test_pieces_of_what_a_recall_stopped_come_out_stopped_in_the_same_recall(
    stool, clip, lead, operator
):
    bag = bag_of(operator, clip, 3)
    put(stool, bag, operator)
    recall = start_recall(lots=[bag.lot], act=make_act(lead, "brittle"))
    out = take_out(part=bag, act=make_act(operator), pieces=1).part
    assert recall.holds.open().filter(lot=out.lot).count() == 1
    with refused("on-hold"):
        put(stool, out, operator)
    lift_recall(recall=recall, act=make_act(lead, "tried it"))
    assert put(stool, out, operator).part == out


def test_refuses_to_take_out_more_pieces_than_are_in(stool, clip, operator):
    bag = bag_of(operator, clip, 3)
    put(stool, bag, operator)
    with refused("pieces"):
        take_out(part=bag, act=make_act(operator), pieces=4)


@pytest.fixture
@kept
def worn(stool, clip, operator):
    """A clip in a stool that came back from use."""
    part = made(operator, clip)
    put(stool, part, operator)
    hand_over_part(part=stool, act=make_act(operator))
    take_back_part(part=stool, act=make_act(operator), state="a clip is broken")
    return part


def test_one_act_swaps_a_broken_part_for_another(stool, worn, loose, operator):
    before = list(Transfer.objects.values())
    act = make_act(operator)
    fixing = swap_part(part=worn, new=loose, act=act, state="the hook broke")
    assert (fixing.holder, fixing.part, fixing.line) == (stool, loose, 1)
    out = Fixing.objects.get(part=worn)
    assert (out.state_when_taken_out, out.taken_out_at) == ("the hook broke", fixing.put_in_at)
    assert list(Transfer.objects.values()) == before
    assert Change.objects.filter(verb="swap").get().subject == stool.code
    written_before = written()
    assert swap_part(part=worn, new=loose, act=act, state="the hook broke") == fixing
    assert written() == written_before


def test_the_broken_part_goes_into_a_granulating_run_and_its_place_stays_readable(
    stool, worn, loose, operator
):
    swap_part(part=worn, new=loose, act=make_act(operator), state="the hook broke")
    load(make_run(operator, "granulate"), worn.lot, operator)
    assert worn in Part.objects.used_up()
    assert set(stool.fixings.values_list("part", flat=True)) == {worn.pk, loose.pk}
    assert first_fault() is None


def test_refuses_to_swap_while_the_product_is_in_use(stool, worn, loose, operator):
    hand_over_part(part=stool, act=make_act(operator))
    with refused("in-use"):
        swap_part(part=worn, new=loose, act=make_act(operator))


def test_refuses_to_swap_what_is_in_nothing(loose, clip, operator):
    other = made(operator, clip)
    with refused("not-fixed"):
        swap_part(part=loose, new=other, act=make_act(operator))


def test_refuses_to_swap_for_what_is_in_a_product_itself(worn, operator):
    with refused("fixed"):
        swap_part(part=worn, new=worn, act=make_act(operator))


def test_refuses_to_swap_for_the_product_itself(stool, worn, operator):
    with refused("ring"):
        swap_part(part=worn, new=stool, act=make_act(operator))


def test_refuses_to_swap_for_something_else_and_leaves_the_old_in(worn, operator):
    hook = made(operator, clip_design("Hook"))
    with refused("not-in-list"):
        swap_part(part=worn, new=hook, act=make_act(operator))


def test_one_of_several_pieces_is_swapped_for_one_of_a_bag(stool, clip, operator):
    held, bag = bag_of(operator, clip, 3), bag_of(operator, clip, 50)
    put(stool, held, operator)
    act = make_act(operator)
    fixing = swap_part(part=held, new=bag, act=act, state="broken", pieces=1)
    assert (fixing.part.bag, fixing.part.pieces) == (bag, 1)
    out = Fixing.objects.get(taken_out_at__isnull=False)
    assert (out.part.bag, out.part.pieces) == (held, 1)
    assert swap_part(part=held, new=bag, act=act, state="broken", pieces=1) == fixing
    assert first_fault() is None


def test_a_line_that_moved_in_the_list_is_found_again(stool, worn, loose, lead, operator):
    items = [ItemPlan(1, bought="screw", bought_name="bolt"), ItemPlan(3, loose.design)]
    set_assembly(design=stool.design, items=items, joints=[], act=make_act(lead))
    assert swap_part(part=worn, new=loose, act=make_act(operator)).line == 2
