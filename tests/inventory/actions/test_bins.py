"""Bins are made, changed and retired, and stay what their contents allow."""

from dataclasses import replace

import pytest

from inventory.actions.bins import BinPlan, change_bin, create_bin, retire_bin
from inventory.actions.lots import dispose_lot
from inventory.models import Bin, Change
from tests.factories.book import refused, written
from tests.factories.inventory import KG, BinFactory, colour, make_act, make_full_bin, polymer

pytestmark = pytest.mark.django_db

PLAN = BinPlan(name="B-07", capacity_mg=40 * KG, place="shelf 3")


def plan_of(bin, **changes) -> BinPlan:
    names = BinPlan.__dataclass_fields__
    return replace(BinPlan(**{name: getattr(bin, name) for name in names}), **changes)


def test_puts_a_bin_into_use(lead):
    bin = create_bin(plan=PLAN, act=make_act(lead))
    assert (bin.name, bin.capacity_mg, len(bin.code)) == ("B-07", 40 * KG, 12)
    assert Change.objects.get().role == "lead"


def test_refuses_a_name_that_is_taken(lead):
    create_bin(plan=PLAN, act=make_act(lead))
    with refused("name-taken"):
        create_bin(plan=PLAN, act=make_act(lead))


def test_a_repeated_making_finds_the_bin_under_its_new_name(lead):
    act = make_act(lead)
    bin = create_bin(plan=PLAN, act=act)
    change_bin(bin=bin, plan=replace(PLAN, name="B-08"), act=make_act(lead))
    assert create_bin(plan=PLAN, act=act) == bin
    assert Bin.objects.count() == 1


def test_changes_place_and_name(lead):
    bin = create_bin(plan=PLAN, act=make_act(lead))
    change_bin(bin=bin, plan=replace(PLAN, name="B-09", place="yard"), act=make_act(lead))
    bin.refresh_from_db()
    assert (bin.name, bin.place) == ("B-09", "yard")


def test_a_repeated_change_is_not_made_again(lead):
    bin, act = create_bin(plan=PLAN, act=make_act(lead)), make_act(lead)
    change_bin(bin=bin, plan=replace(PLAN, place="yard"), act=act)
    change_bin(bin=bin, plan=replace(PLAN, place="shelf 9"), act=make_act(lead))
    change_bin(bin=bin, plan=replace(PLAN, place="yard"), act=act)
    assert Bin.objects.get().place == "shelf 9"


def test_refuses_to_take_the_name_of_another_bin(lead):
    first, second = BinFactory(), BinFactory()
    with refused("name-taken"):
        change_bin(bin=second, plan=plan_of(second, name=first.name), act=make_act(lead))


def test_refuses_less_room_than_it_holds(operator, lead):
    bin, _lot = make_full_bin(operator)
    with refused("overfull"):
        change_bin(bin=bin, plan=plan_of(bin, capacity_mg=10 * KG - 1), act=make_act(lead))


def test_may_have_just_the_room_for_what_it_holds(operator, lead):
    bin, _lot = make_full_bin(operator)
    change_bin(bin=bin, plan=plan_of(bin, capacity_mg=10 * KG), act=make_act(lead))
    assert Bin.objects.get(pk=bin.pk).capacity_mg == 10 * KG


def test_refuses_to_be_kept_for_another_polymer_than_it_holds(operator, lead):
    bin, _lot = make_full_bin(operator)
    with refused("polymer-mismatch"):
        change_bin(bin=bin, plan=plan_of(bin, polymer=polymer("PP")), act=make_act(lead))


def test_refuses_to_be_kept_for_another_colour_than_it_holds(operator, lead):
    bin, _lot = make_full_bin(operator)
    with refused("colour-mismatch"):
        change_bin(bin=bin, plan=plan_of(bin, colour=colour("red")), act=make_act(lead))


def test_may_be_kept_for_mixed_colours_whatever_it_holds(operator, lead):
    bin, _lot = make_full_bin(operator)
    change_bin(bin=bin, plan=plan_of(bin, colour=colour("mixed")), act=make_act(lead))
    assert Bin.objects.get(pk=bin.pk).colour.is_mixed


def test_retires_an_empty_bin_and_keeps_it(lead):
    bin = BinFactory()
    retire_bin(bin=bin, act=make_act(lead))
    assert not Bin.objects.in_use().exists()
    assert Bin.objects.get().retired_at


def test_refuses_to_retire_a_bin_that_holds_something(operator, lead):
    bin, _lot = make_full_bin(operator)
    with refused("not-empty"):
        retire_bin(bin=bin, act=make_act(lead))


def test_retires_a_bin_once_it_was_emptied(operator, lead):
    bin, lot = make_full_bin(operator)
    dispose_lot(lot=lot, act=make_act(operator, "burnt"))
    assert retire_bin(bin=bin, act=make_act(lead)).retired_at


def test_refuses_to_retire_twice(lead):
    bin = BinFactory()
    retire_bin(bin=bin, act=make_act(lead))
    with refused("retired"):
        retire_bin(bin=bin, act=make_act(lead))


def test_a_repeated_retiring_changes_nothing(lead):
    bin, act = BinFactory(), make_act(lead)
    retire_bin(bin=bin, act=act)
    before = written()
    assert retire_bin(bin=bin, act=act) == bin
    assert written() == before
