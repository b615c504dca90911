"""What is left of a charge when a load or a yield was mended."""

import pytest

from inventory.calculations.charge_rests import ChargeBook
from inventory.calculations.corrections import GAIN, Broken, Flow, NewLot

CHARGE, NEXT, BAG, GAINED = 5, 6, 11, 8
LOAD = Flow(1, CHARGE, 100, "loaded", uncertainty_ug=3000)  # u = 3 mg


def made(mg, target=BAG):
    return Flow(CHARGE, target, mg, "material", uncertainty_ug=4000)  # with the load: U = 10 mg


def settled(book):
    return ChargeBook(CHARGE, book, {GAINED}, {99}).settle()


def test_the_rest_is_judged_by_the_weighings():
    rest = ChargeBook(CHARGE, {1: (LOAD,), 2: (made(92),)}, set(), set()).rest()
    assert (rest.gap_mg, rest.expanded_mg, rest.is_within) == (8, 10.0, True)


def test_what_was_carried_on_is_what_is_left():
    carried = Flow(CHARGE, NEXT, 20, "carried")
    assert settled({1: (LOAD,), 2: (made(70),), 3: (carried,)}) == {
        3: (carried._replace(mass_mg=30),)
    }


def test_nothing_is_carried_on_when_nothing_is_left():
    assert settled({1: (LOAD,), 2: (made(100),), 3: (Flow(CHARGE, NEXT, 20, "carried"),)}) == {
        3: ()
    }


def test_what_the_scales_explain_beyond_the_loads_is_a_gain():
    new = NewLot(GAIN, 3, CHARGE)
    assert settled({1: (LOAD,), 2: (made(60),), 3: (made(48),)}) == {
        3: (made(40), Flow(new, BAG, 8, "difference"), Flow(None, new, 8, "difference"))
    }


def test_what_the_scales_do_not_explain_breaks_it():
    with pytest.raises(Broken) as broken:
        settled({1: (LOAD,), 2: (made(60),), 3: (made(54),)})
    assert (broken.value.code, broken.value.place, broken.value.mass_mg) == ("over", 3, 14)


def test_a_gain_that_is_no_more_needed_is_the_charge_s_again():
    over = (made(40), Flow(GAINED, BAG, 8, "difference"), Flow(None, GAINED, 8, "difference"))
    more = LOAD._replace(mass_mg=110)
    assert settled({1: (more,), 2: (made(60),), 3: over}) == {3: (made(48),)}


def test_what_was_thrown_away_brings_no_gain():
    new = NewLot(GAIN, 2, CHARGE)
    thrown = made(48)._replace(target=None)
    assert settled({1: (LOAD,), 2: (made(60),), 3: (thrown,)}) == {
        2: (made(52), Flow(new, BAG, 8, "difference"), Flow(None, new, 8, "difference"))
    }


def test_a_piece_that_was_of_a_gain_alone_is_kept():
    alone = Flow(GAINED, "piece", 8, "difference")
    over = (made(40), alone, Flow(None, GAINED, 8, "difference"))
    more = LOAD._replace(mass_mg=110)
    whole = made(8)._replace(target="piece")
    assert settled({1: (more,), 2: (made(60),), 3: over}) == {3: (made(40), whole)}


def test_a_gain_that_stays_as_it_is_changes_nothing():
    over = (made(40), Flow(GAINED, BAG, 8, "difference"), Flow(None, GAINED, 8, "difference"))
    assert settled({1: (LOAD,), 2: (made(60),), 3: over}) == {}


def test_what_closed_it_is_no_yield():
    closing = Flow(CHARGE, None, 40, "loss")
    assert (
        ChargeBook(CHARGE, {1: (LOAD,), 2: (made(60),), 99: (closing,)}, set(), {99}).rest().gap_mg
        == 40
    )
