"""What a design is put together from, and whether it comes apart."""

from decimal import Decimal

import pytest

from inventory.models import Polymer
from products.models import Item, Joint
from products.queries.assemblies import Gathering, taking_apart_text, verdict_of
from tests.factories.workshop import DesignFactory

pytestmark = pytest.mark.django_db


def of(symbol, name, **more):
    design = DesignFactory(name=name, **more)
    polymer, _made = Polymer.objects.get_or_create(symbol=symbol, defaults={"name": symbol})
    design.polymers.set([polymer])
    return design


@pytest.fixture
def stool():
    """A stool of a seat and three legs, each leg with a foot pressed on."""
    stool, leg, foot = of("PP", "Stool"), of("PP", "Leg"), of("PS", "Foot", nominal_mass_mg=2000)
    Item.objects.create(design=stool, line=1, count=3, component=leg)
    Item.objects.create(design=stool, line=2, count=6, bought="screw", bought_name="bolt M6")
    Item.objects.create(design=leg, line=1, count=1, component=foot)
    Joint.objects.create(
        design=stool, turn=1, kind="screw", first_line=0, second_line=1, tool="key", minutes=3
    )
    Joint.objects.create(
        design=leg, turn=1, kind="press-fit", first_line=0, second_line=1, minutes=Decimal("0.5")
    )
    return stool


def test_all_that_is_in_a_design_is_counted(stool):
    items = {item.name: item.count for item in Gathering(stool).items}
    assert items == {"Stool": 1, "Leg": 3, "Foot": 3, "bolt M6": 6}


def test_minutes_count_once_for_each_thing_there_is(stool):
    verdict = verdict_of(stool)
    assert (verdict.answer, verdict.minutes) == ("after", Decimal("4.5"))


def test_a_glued_foot_makes_all_of_it_no(stool):
    Joint.objects.filter(kind="press-fit").update(kind="glue")
    verdict = verdict_of(stool)
    assert verdict.answer == "no"
    assert "Glued or welded, and not of one plastic: Leg, Foot." in verdict.reasons


def test_it_asks_the_same_however_much_is_in_it(stool, django_assert_max_num_queries):
    with django_assert_max_num_queries(7):
        verdict_of(stool)


def test_a_new_passport_tells_how_it_comes_apart(stool):
    stool.taking_apart = "Lay it on its seat."
    assert taking_apart_text(stool).splitlines() == [
        "Lay it on its seat.",
        "1. Screw: Stool and Leg, with key, 3 minutes.",
        "After taking apart: then each plastic can be recycled.",
    ]


def test_without_joints_the_text_is_that_of_the_design():
    assert taking_apart_text(DesignFactory(taking_apart="One piece. \n")) == "One piece."
