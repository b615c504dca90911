"""Designs with what there is of each."""

import pytest

from products.actions.parts import hand_over_part
from products.models import Part
from products.queries.designs import bags_here, design_list
from tests.factories.inventory import KG, make_act, make_full_bin
from tests.factories.workshop import DesignFactory, load, make_part, make_run, weigh_out

pytestmark = pytest.mark.django_db


@pytest.fixture
def sheet(operator):
    design = DesignFactory(name="Sheet")
    run = make_run(operator, design=design)
    load(run, make_full_bin(operator)[1], operator)
    weigh_out(run, operator, "part", 9 * KG, pieces=3)
    hand_over_part(part=Part.objects.first(), act=make_act(operator))
    return design


def test_counts_parts_in_stock_and_in_use_apart(sheet):
    design = design_list().get(pk=sheet.pk)
    assert (design.in_stock, design.in_use) == (2, 1)


def test_a_bag_counts_its_pieces_in_stock_and_in_use(operator):
    """A bag of 40 counts 40, as each bag says of itself; of one with a fourth gone 30 are left."""
    hook, lot = DesignFactory(tracked="bag"), make_full_bin(operator)[1]
    whole, used, away = (make_part(operator, lot, KG, hook, pieces=40) for _bag in range(3))
    load(make_run(operator, "granulate"), used.lot, operator, pieces=10)
    hand_over_part(part=away, act=make_act(operator))
    design = design_list().get(pk=hook.pk)
    assert (design.in_stock, design.in_use) == (40 + 30, 40)
    here = Part.objects.here().select_related("lot")
    assert design.in_stock == sum(part.pieces_left for part in here)
    assert bags_here(hook) == 2


def test_a_design_without_parts_counts_none(db):
    DesignFactory(name="New")
    design = design_list().get(name="New")
    assert (design.in_stock, design.in_use) == (0, 0)


def test_asks_twice_however_many_designs(sheet, django_assert_num_queries):
    DesignFactory.create_batch(10)
    with django_assert_num_queries(2):
        assert len(design_list()) == 11
