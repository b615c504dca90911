"""What the database keeps of parts lists."""

import pytest

from products.models import Item, Joint
from tests.factories.book import broken
from tests.factories.workshop import DesignFactory

pytestmark = pytest.mark.django_db


def add(design=None, **fields):
    full = {"design": design or DesignFactory(), "line": 1, "component": DesignFactory()}
    return Item.objects.create(**(full | fields))


def join(design=None, **fields):
    full = {"design": design or DesignFactory(), "turn": 1, "kind": "glue"}
    return Joint.objects.create(**(full | {"first_line": 0, "second_line": 1} | fields))


def test_a_line_is_there_once():
    design = add().design
    with broken("item_line_once", "products_item.design_id, products_item.line"):
        add(design)


def test_a_line_counts_something():
    with broken("item_counts"):
        add(count=0)


@pytest.mark.parametrize(
    "wrong",
    [
        {"component": None},
        {"bought": "screw", "bought_name": "bolt"},
        {"component": None, "bought": "screw"},
        {"component": None, "bought_name": "bolt"},
    ],
)
def test_a_line_is_made_or_bought(wrong):
    with broken("item_made_or_bought"):
        add(**wrong)


def test_a_design_is_no_piece_of_itself():
    design = DesignFactory()
    with broken("item_not_itself"):
        add(design, component=design)


def test_a_turn_is_there_once():
    design = join().design
    with broken("joint_turn_once", "products_joint.design_id, products_joint.turn"):
        join(design)


def test_a_joint_takes_time():
    with broken("joint_takes_time"):
        join(minutes=-1)


def test_a_line_says_what_it_is():
    assert str(add(count=3, component=DesignFactory(name="Leg"))) == "3 × Leg"
