"""Which lot takes what is poured into a bin, and what that lot is called."""

import pytest

from inventory.actions.lots import hold_lot, identify_lot, lift_hold, move_lot
from inventory.actions.materials import switch_blend
from inventory.models import Lot, Mass
from inventory.queries.lots import open_lot_in
from tests.factories.book import refused
from tests.factories.inventory import (
    KG,
    BinFactory,
    colour,
    make_act,
    make_delivery,
    make_full_bin,
    polymer,
)

pytestmark = pytest.mark.django_db


def pour(lot, bin, by, mass_mg=None):
    mass = Mass(mass_mg) if mass_mg else None
    move_lot(lot=lot, bin=bin, mass=mass, act=make_act(by))
    return open_lot_in(bin)


def allow(by, main="PE-HD", added="PP", **more):
    pair = {"main": polymer(main), "added": polymer(added)}
    act = make_act(by, "trial batch")
    return switch_blend(**pair, is_on=more.pop("is_on", True), act=act, **more)


def make_blend(by, added_mg, main_mg=9 * KG):
    """A bin of PE-HD into which PP is poured."""
    bin = BinFactory()
    pour(make_delivery(by).lot, bin, by, main_mg)
    return bin, make_delivery(by, polymer="PP").lot, added_mg


def test_the_same_material_goes_into_a_fill_that_has_not_given(operator):
    lot, bin = make_delivery(operator).lot, BinFactory()
    first = pour(lot, bin, operator, KG)
    second = pour(lot, bin, operator, 2 * KG)
    assert (first, second.held_mg) == (second, 3 * KG)


def test_a_fill_that_has_given_takes_nothing_more(operator):
    lot, bin = make_delivery(operator).lot, BinFactory()
    first = pour(lot, bin, operator, 4 * KG)
    pour(first, BinFactory(), operator, KG)
    second = pour(lot, bin, operator, 2 * KG)
    first.refresh_from_db()
    assert (first.held_mg, second.held_mg) == (0, 5 * KG)


def test_a_delivery_in_a_bin_is_never_topped_up_itself(operator):
    bin, lot = make_full_bin(operator)
    pour(make_delivery(operator).lot, bin, operator, KG)
    lot.refresh_from_db()
    assert (lot.in_mg, lot.held_mg) == (10 * KG, 0)


def test_another_form_makes_a_new_fill_that_is_as_coarse_as_the_coarsest(operator):
    bin = BinFactory()
    flake = pour(make_delivery(operator).lot, bin, operator, KG)
    mixture = pour(make_delivery(operator, form="offcut").lot, bin, operator, KG)
    flake.refresh_from_db()
    assert (flake.form, flake.held_mg) == ("flake", 0)
    assert (mixture.form, mixture.held_mg) == ("offcut", 2 * KG)


def test_a_bin_for_mixed_colours_makes_a_mixed_fill(operator):
    bin = BinFactory(colour=colour("mixed"))
    pour(make_delivery(operator).lot, bin, operator, KG)
    mixture = pour(make_delivery(operator, colour="red").lot, bin, operator, KG)
    assert mixture.colour.is_mixed


def test_a_bin_for_mixed_colours_keeps_one_colour_while_it_is_one(operator):
    bin = BinFactory(colour=colour("mixed"))
    assert pour(make_delivery(operator).lot, bin, operator, KG).colour.name == "blue"


def test_refuses_another_colour_in_a_bin_that_is_not_for_mixed_ones(operator):
    bin, _lot = make_full_bin(operator)
    red = make_delivery(operator, colour="red").lot
    with refused("colour-mismatch"):
        pour(red, bin, operator)


def test_refuses_another_polymer(operator):
    bin, _lot = make_full_bin(operator)
    other = make_delivery(operator, polymer="PP").lot
    with refused("polymer-mismatch"):
        pour(other, bin, operator)


def test_refuses_to_mix_what_is_unknown_with_anything(operator):
    lot = make_delivery(operator, polymer=None, identified_by="unknown").lot
    lift_hold(hold=lot.holds.get(), act=make_act(operator, "seen"))
    bin, _lot = make_full_bin(operator)
    with refused("unknown-material"):
        pour(lot, bin, operator)


def test_refuses_two_unknown_lots_in_one_bin(operator):
    lot = make_delivery(operator, polymer=None, identified_by="unknown").lot
    lift_hold(hold=lot.holds.get(), act=make_act(operator, "seen"))
    bin = BinFactory()
    pour(lot, bin, operator, KG)
    with refused("unknown-material"):
        pour(lot, bin, operator, KG)


def test_refuses_a_giver_on_hold(operator):
    lot, bin = make_delivery(operator).lot, BinFactory()
    hold_lot(lot=lot, act=make_act(operator, "sticky"))
    with refused("on-hold"):
        pour(lot, bin, operator)


def test_refuses_a_fill_on_hold(operator):
    bin, lot = make_full_bin(operator)
    hold_lot(lot=lot, act=make_act(operator, "sticky"))
    other = make_delivery(operator).lot
    with refused("on-hold"):
        pour(other, bin, operator)


def test_a_blend_that_the_lead_allows_gets_its_own_mark(operator, lead):
    allow(lead)
    bin, added, mass_mg = make_blend(operator, 3 * KG)
    mixture = pour(added, bin, operator, mass_mg)
    assert (mixture.mark, mixture.held_mg) == (">PE-HD+PP<", 12 * KG)
    assert set(Lot.objects.filter(out_mg=0, bin=bin)) == {mixture}


def test_refuses_a_blend_that_was_switched_off(operator, lead):
    allow(lead)
    allow(lead, is_on=False)
    bin, added, mass_mg = make_blend(operator, KG)
    with refused("polymer-mismatch"):
        pour(added, bin, operator, mass_mg)


def test_a_blend_may_reach_its_limit(operator, lead):
    allow(lead, most_added_permille=100)
    bin, added, mass_mg = make_blend(operator, KG)
    assert pour(added, bin, operator, mass_mg).polymer.symbol == "PE-HD+PP"


def test_refuses_to_pass_the_limit_of_a_blend(operator, lead):
    allow(lead, most_added_permille=100)
    bin, added, mass_mg = make_blend(operator, KG + 1)
    with refused("polymer-mismatch"):
        pour(added, bin, operator, mass_mg)


def test_refuses_to_pass_the_limit_in_two_steps(operator, lead):
    allow(lead, most_added_permille=100)
    bin, added, mass_mg = make_blend(operator, KG)
    pour(added, bin, operator, mass_mg)
    with refused("polymer-mismatch"):
        pour(added, bin, operator, KG)


def test_main_polymer_poured_in_makes_room_for_more_of_the_other(operator, lead):
    allow(lead, most_added_permille=100)
    bin, added, mass_mg = make_blend(operator, KG)
    pour(added, bin, operator, mass_mg)
    pour(make_delivery(operator).lot, bin, operator, 9 * KG)
    assert pour(added, bin, operator, KG).held_mg == 20 * KG


def test_a_blend_that_comes_in_counts_with_what_is_really_in_it(operator, lead):
    allow(lead)
    bin, added, mass_mg = make_blend(operator, 9 * KG)
    half = pour(added, bin, operator, mass_mg)
    allow(lead, most_added_permille=100)
    other = BinFactory()
    pour(make_delivery(operator).lot, other, operator, KG)
    with refused("polymer-mismatch"):
        pour(half, other, operator, KG)


def test_a_fill_that_was_identified_counts_as_what_it_is(operator, lead):
    """Its delivery is still unknown, yet it is all of the added polymer."""
    allow(lead, most_added_permille=100)
    lot = make_delivery(operator, polymer=None, identified_by="unknown").lot
    lift_hold(hold=lot.holds.get(), act=make_act(lead, "seen"))
    bin = BinFactory()
    fill = pour(lot, bin, operator)
    found = {"polymer": polymer("PP"), "identified_by": "float-sink"}
    identify_lot(lot=fill, act=make_act(lead, "floats"), **found)
    main = make_delivery(operator).lot
    with refused("polymer-mismatch"):
        pour(main, bin, operator)


def test_refuses_a_third_polymer_in_a_blend(operator, lead):
    allow(lead)
    bin, added, mass_mg = make_blend(operator, KG)
    pour(added, bin, operator, mass_mg)
    third = make_delivery(operator, polymer="PS").lot
    with refused("polymer-mismatch"):
        pour(third, bin, operator)


def test_refuses_a_blend_in_a_bin_kept_for_one_polymer(operator, lead):
    allow(lead)
    bin, _lot = make_full_bin(operator, bin_fields={"polymer": polymer("PE-HD")})
    other = make_delivery(operator, polymer="PP").lot
    with refused("polymer-mismatch"):
        pour(other, bin, operator, KG)
