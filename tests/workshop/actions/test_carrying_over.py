"""What is left of one charge goes into the next, as in a hopper that is topped up."""

import pytest

from inventory.actions.lots import hold_lot
from inventory.actions.postings import reverse_posting
from inventory.models import Posting
from inventory.queries.traces import origins_of
from tests.factories.book import refused
from tests.factories.inventory import (
    KG,
    ScaleFactory,
    make_act,
    make_delivery,
    make_full_bin,
)
from tests.factories.workshop import (
    load,
    load_weighed,
    make_run,
    weigh_out,
)
from workshop.actions.charges import carry_over
from workshop.models import Charge, Load
from workshop.queries.runs import balances

pytestmark = pytest.mark.django_db


@pytest.fixture
def lot(operator):
    return make_full_bin(operator)[1]


@pytest.fixture
def run(operator):
    return make_run(operator)


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
