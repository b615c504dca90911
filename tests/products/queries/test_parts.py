"""Parts and where they stand."""

import pytest

from inventory.actions.lots import hold_lot
from products.actions.parts import hand_over_part
from products.models import Part
from products.queries.parts import part_list, state_pill
from tests.factories.inventory import KG, make_act, make_full_bin
from tests.factories.workshop import load, make_run, weigh_out

pytestmark = pytest.mark.django_db


@pytest.fixture
def part(operator):
    run = make_run(operator)
    load(run, make_full_bin(operator)[1], operator, 4 * KG)
    weigh_out(run, operator, "part", 4 * KG, pieces=1)
    return Part.objects.get()


def test_a_new_part_is_in_stock(part):
    assert part_list().get().state == "in-stock"


def test_a_part_handed_over_is_in_use(part, operator):
    hand_over_part(part=part, act=make_act(operator))
    assert part_list().get().state == "in-use"


def test_a_part_that_was_ground_is_used_up(part, operator):
    load(make_run(operator, "granulate"), part.lot, operator)
    assert part_list().get().state == "used-up"


def test_a_hold_goes_before_every_other_state(part, operator):
    hold_lot(lot=part.lot, act=make_act(operator, "cracked"))
    assert state_pill(part_list().get())[0] == "held"


def test_asks_once(part, django_assert_num_queries):
    number = part.run_number
    assert number.startswith("R-")
    with django_assert_num_queries(1):
        found = part_list().get()
        assert f"{found.design} {found.lot.polymer} {found.run_number}".endswith(number)
