"""Which bins take what comes out, and in which order they are offered."""

import pytest

from inventory.actions.lots import hold_lot
from inventory.models import Material
from tests.factories.inventory import BinFactory, colour, make_act, make_full_bin, polymer
from workshop.queries.yields import bins_for

pytestmark = pytest.mark.django_db


def offcuts(symbol="PE-HD", name="blue"):
    return Material(polymer(symbol), colour(name), "offcut")


def names(material):
    return [choice.bin.name for choice in bins_for(material)]


def test_the_very_same_comes_first_then_mixed_then_empty_and_no_flake_for_offcuts(operator):
    mixed = {"polymer": polymer("PE-HD"), "colour": colour("mixed")}
    make_full_bin(operator, form="flake", bin_fields={"name": "flake"})
    make_full_bin(operator, form="offcut", colour="red", bin_fields={"name": "mixed", **mixed})
    make_full_bin(operator, form="offcut", bin_fields={"name": "same"})
    BinFactory(name="empty")
    assert names(offcuts()) == ["same", "mixed", "empty"]
    assert [choice.is_same for choice in bins_for(offcuts())] == [True, False, False]


def test_never_a_bin_of_another_polymer(operator):
    make_full_bin(operator, polymer="PP", form="offcut")
    BinFactory(polymer=polymer("PP"))
    assert names(offcuts()) == []


def test_never_another_colour_in_a_bin_of_one_colour(operator):
    make_full_bin(operator, colour="red", form="offcut")
    BinFactory(colour=colour("red"))
    assert names(offcuts()) == []


def test_never_a_bin_on_hold(operator):
    _bin, lot = make_full_bin(operator, form="offcut")
    hold_lot(lot=lot, act=make_act(operator, "smells"))
    assert names(offcuts()) == []


def test_never_a_full_bin(operator):
    make_full_bin(operator, form="offcut", bin_fields={"capacity_mg": 10_000_000})
    assert names(offcuts()) == []


def test_says_how_much_room_there_is(operator):
    make_full_bin(operator, form="offcut", bin_fields={"capacity_mg": 12_000_000})
    assert [choice.room_mg for choice in bins_for(offcuts())] == [2_000_000]


def test_asks_twice_however_many_bins(operator, django_assert_num_queries):
    make_full_bin(operator, form="offcut")
    BinFactory.create_batch(5)
    material = offcuts()
    with django_assert_num_queries(2):
        assert len(bins_for(material)) == 6
