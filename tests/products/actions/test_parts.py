"""Parts are handed over and come back; no mass moves."""

import pytest

from inventory.actions.lots import hold_lot
from inventory.models import Change, Posting
from products.actions.parts import hand_over_part, take_back_part
from products.models import Handover, Part
from tests.factories.book import refused, written
from tests.factories.inventory import KG, make_act, make_full_bin
from tests.factories.workshop import load, make_part, make_run
from tests.kept import kept

pytestmark = pytest.mark.django_db


@pytest.fixture
@kept
def part(operator):
    return make_part(operator, make_full_bin(operator)[1], KG)


def test_a_part_shares_the_code_of_its_lot_and_knows_its_posting(part):
    assert (part.code, part.pieces) == (part.lot.code, 1)
    assert part.made_in == Posting.objects.get(kind="yield")
    assert part.made_at == part.made_in.happened_at


def test_handed_over_it_keeps_its_mass(part, operator):
    handover = hand_over_part(part=part, act=make_act(operator), to="school")
    assert (handover.to, handover.out_by, handover.back_at) == ("school", operator, None)
    assert Part.objects.get().lot.held_mg == KG
    assert Change.objects.latest("pk").verb == "hand over"


def test_refuses_to_hand_over_what_is_in_use(part, operator):
    hand_over_part(part=part, act=make_act(operator))
    with refused("in-use"):
        hand_over_part(part=part, act=make_act(operator))


def test_refuses_to_hand_over_what_was_used_up_even_from_a_page_that_is_out_of_date(part, operator):
    stale = Part.objects.select_related("lot").get()
    load(make_run(operator, "granulate"), part.lot, operator)
    with refused("used-up"):
        hand_over_part(part=stale, act=make_act(operator))


def test_refuses_to_hand_over_what_is_on_hold(part, operator):
    hold_lot(lot=part.lot, act=make_act(operator, "cracked"))
    with refused("on-hold"):
        hand_over_part(part=part, act=make_act(operator))


def test_comes_back_in_the_state_it_is_in(part, operator):
    hand_over_part(part=part, act=make_act(operator))
    handover = take_back_part(part=part, act=make_act(operator), state="a leg is off")
    assert (handover.back_by, handover.state_on_return) == (operator, "a leg is off")
    assert Part.objects.here().get() == part


def test_goes_out_again_after_it_came_back(part, operator):
    hand_over_part(part=part, act=make_act(operator))
    take_back_part(part=part, act=make_act(operator))
    hand_over_part(part=part, act=make_act(operator))
    assert Handover.objects.count() == 2


def test_refuses_to_take_back_what_is_here(part, operator):
    with refused("not-in-use"):
        take_back_part(part=part, act=make_act(operator))


def test_a_repeated_handing_over_is_answered_with_its_own(part, operator):
    act = make_act(operator)
    first = hand_over_part(part=part, act=act, to="school")
    take_back_part(part=part, act=make_act(operator))
    hand_over_part(part=part, act=make_act(operator), to="library")
    before = written()
    assert hand_over_part(part=part, act=act, to="school") == first
    assert written() == before


def test_a_repeated_taking_back_is_answered_with_its_own(part, operator):
    hand_over_part(part=part, act=make_act(operator))
    act = make_act(operator)
    first = take_back_part(part=part, act=act)
    hand_over_part(part=part, act=make_act(operator))
    assert take_back_part(part=part, act=act) == first
