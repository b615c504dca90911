"""The make-up of many lots agrees with that of each, and costs as many queries as one."""

import pytest

from inventory.calculations.melt_passes import pass_figures
from inventory.queries.make_ups import passes_of_lots, shares_of_lots
from inventory.queries.traces import MOST_PASSES, make_up_of
from products.models import Part
from tests.factories.inventory import KG, make_full_bin
from tests.factories.workshop import load, make_run, weigh_out
from tests.kept import kept

pytestmark = pytest.mark.django_db


@pytest.fixture
@kept
def lots(operator):
    """Six sheets of two runs, each of two colours, and the deliveries behind them."""
    made = []
    for first, second in (("blue", "red"), ("white", "black")):
        run = make_run(operator)
        made += [make_full_bin(operator, colour=colour)[1] for colour in (first, second)]
        load(run, made[-2], operator, 6 * KG)
        load(run, made[-1], operator, 3 * KG)
        weigh_out(run, operator, "part", 9 * KG, pieces=3)
    return made + [part.lot for part in Part.objects.select_related("lot")]


def by_colour(lot):
    return {segment.label: segment.share for segment in make_up_of(lot).by_colour}


def test_many_at_once_agree_with_each_alone(lots):
    found = shares_of_lots(lots)
    assert [found[lot.pk].by_colour for lot in lots] == [
        pytest.approx(by_colour(lot)) for lot in lots
    ]


def test_many_cost_as_little_as_one(lots, django_assert_num_queries):
    with django_assert_num_queries(2):
        shares_of_lots(lots)


def test_no_lots_have_no_make_up(db):
    assert shares_of_lots([]) == {}


def test_a_lot_whose_filling_was_reversed_consists_of_nothing(lots):
    lot = lots[0]
    lot.pk = 999_999
    assert shares_of_lots([lot])[lot.pk].by_polymer == {}


def test_melt_passes_of_many_agree_with_each_alone(lots):
    found = passes_of_lots(lots)
    assert [pass_figures(found[lot.pk], last=MOST_PASSES) for lot in lots] == [
        make_up_of(lot).passes for lot in lots
    ]
    assert {make_up_of(lot).passes.most for lot in lots} == {0, 1}


def test_melt_passes_of_many_cost_two_queries(lots, django_assert_num_queries):
    with django_assert_num_queries(2):
        passes_of_lots(lots)
