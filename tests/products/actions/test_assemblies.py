"""The parts list of a design is set."""

from decimal import Decimal

import pytest

from inventory.models import Change
from products.actions.assemblies import ItemPlan, JointPlan, set_assembly
from products.models import Item
from tests.factories.book import refused, written
from tests.factories.inventory import make_act
from tests.factories.workshop import DesignFactory

pytestmark = pytest.mark.django_db
BOLT = ItemPlan(4, bought="screw", bought_name="bolt M6")


@pytest.fixture
def stool():
    return DesignFactory(name="Stool")


@pytest.fixture
def leg():
    return DesignFactory(name="Leg")


def put(design, by, items=(), joints=(), act=None):
    return set_assembly(
        design=design, items=list(items), joints=list(joints), act=act or make_act(by)
    )


def test_a_new_list_takes_the_place_of_the_old(lead, stool, leg):
    put(stool, lead, [BOLT])
    put(stool, lead, [ItemPlan(3, leg), BOLT], [JointPlan("screw", 0, 1, "key 10", Decimal(2))])
    assert [str(item) for item in stool.items.all()] == ["3 × Leg", "4 × bolt M6"]
    joint = stool.joints.get()
    assert (joint.first_line, joint.second_line, joint.tool, joint.minutes) == (0, 1, "key 10", 2)


def test_the_change_is_written_down(lead, stool):
    put(stool, lead, [BOLT])
    change = Change.objects.get(verb="set parts list")
    assert (change.subject, change.by) == ("Stool", lead)
    assert change.request["items"][0]["bought_name"] == "bolt M6"


@pytest.mark.parametrize(
    "wrong",
    [
        ItemPlan(1),
        ItemPlan(1, bought="screw"),
        ItemPlan(1, bought="screw", bought_name=" "),
        ItemPlan(1, bought="nail", bought_name="nail"),
        ItemPlan(0, bought="screw", bought_name="bolt"),
        ItemPlan(1001, bought="screw", bought_name="bolt"),
    ],
)
def test_refuses_a_line_that_is_not_one_thing(lead, stool, wrong):
    with refused("parts-list"):
        put(stool, lead, [BOLT, wrong])


def test_refuses_a_line_that_is_made_and_bought(lead, stool, leg):
    with refused("parts-list"):
        put(stool, lead, [ItemPlan(1, leg, "screw", "bolt")])


def test_refuses_a_list_without_end(lead, stool):
    with refused("parts-list"):
        put(stool, lead, [BOLT] * 13)


def test_refuses_a_design_in_itself(lead, stool):
    with refused("cycle"):
        put(stool, lead, [ItemPlan(1, stool)])


def test_refuses_a_design_in_itself_through_others(lead, stool, leg):
    foot = DesignFactory(name="Foot")
    put(stool, lead, [ItemPlan(3, leg)])
    put(leg, lead, [ItemPlan(1, foot)])
    with refused("cycle"):
        put(foot, lead, [ItemPlan(1, stool)])


def test_one_design_may_be_in_several_others(lead, stool, leg):
    bench = DesignFactory(name="Bench")
    put(stool, lead, [ItemPlan(3, leg)])
    put(bench, lead, [ItemPlan(4, leg), ItemPlan(1, stool)])
    assert Item.objects.filter(component=leg).count() == 2


@pytest.mark.parametrize(
    "wrong",
    [
        JointPlan("nail", 0, 1),
        JointPlan("screw", 0, 2),
        JointPlan("screw", 0, 0),
        JointPlan("screw", 1, 1),
        JointPlan("screw", 0, 1, minutes=Decimal(-1)),
        JointPlan("screw", 0, 1, minutes=Decimal(1000)),
    ],
)
def test_refuses_a_joint_that_holds_nothing(lead, stool, leg, wrong):
    with refused("joint"):
        put(stool, lead, [ItemPlan(1, leg)], [wrong])


def test_refuses_joints_without_end(lead, stool, leg):
    with refused("joint"):
        put(stool, lead, [ItemPlan(1, leg)], [JointPlan("screw", 0, 1)] * 13)


def test_like_things_may_be_joined_to_each_other(lead, stool, leg):
    put(stool, lead, [ItemPlan(2, leg)], [JointPlan("interlock", 1, 1)])
    assert stool.joints.get().kind == "interlock"


def test_a_repeat_changes_nothing(lead, stool, leg):
    act = make_act(lead)
    put(stool, lead, [BOLT], act=act)
    put(stool, lead, [ItemPlan(3, leg)])
    before = written()
    assert put(stool, lead, [BOLT], act=act) == stool
    assert written() == before
