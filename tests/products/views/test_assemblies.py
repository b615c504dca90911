"""The page that sets the parts list of a design, and where the list stands."""

import pytest
from django.urls import reverse

from products.models import Item
from tests.factories.workshop import DesignFactory

pytestmark = pytest.mark.django_db


@pytest.fixture
def leg():
    return DesignFactory(name="Leg")


@pytest.fixture
def stool():
    return DesignFactory(name="Stool")


def address(design):
    return reverse("products:design-assembly", args=[design.pk])


def row(line, **boxes):
    return {f"{name}-{line}": value for name, value in boxes.items()}


def test_a_list_is_set_and_stands_on_the_page_of_the_design(desk, stool, leg, key):
    sent = {"key": key} | row(1, count="3", component=leg.pk)
    sent |= row(2, count="6", bought="screw", bought_name="bolt M6")
    sent |= row(1, kind="screw", first="0", second="1", tool="key 10", minutes="2,5")
    text = desk.post(address(stool), sent, follow=True).content.decode()
    assert "6 × bolt M6, screw, nut or washer" in text
    assert "Screw: Stool and Leg, with key 10, 2.5 minutes" in text
    assert "After taking apart: then each plastic can be recycled." in text
    assert "No plastic of ours: bolt M6." in text


def test_empty_lines_between_are_left_out(desk, stool, leg, key):
    sent = {"key": key} | row(2, bought="screw", bought_name="bolt") | row(5, component=leg.pk)
    sent |= row(1, kind="interlock", first="0", second="5")
    desk.post(address(stool), sent)
    assert [item.line for item in stool.items.all()] == [1, 2]
    assert stool.joints.get().second_line == 2


def test_the_boxes_show_what_is_set(desk, stool):
    Item.objects.create(design=stool, line=1, count=7, bought="glue", bought_name="hot glue")
    shown = desk.get(address(stool)).content.decode()
    assert 'name="count-1" value="7"' in shown
    assert 'value="hot glue"' in shown
    assert "Line 1: hot glue" in shown


@pytest.mark.parametrize(
    "wrong",
    [
        row(1, count="3"),
        row(1, bought="screw"),
        row(1, bought_name="bolt"),
        row(1, count="0", bought="screw", bought_name="bolt"),
        row(1, kind="glue", first="0", second="1"),
        row(1, tool="key 10"),
        row(1, bought="screw", bought_name="bolt", kind="glue", first="0", minutes="x"),
        row(1, component="999999"),
    ],
)
def test_what_is_half_filled_in_is_refused_and_stays_typed(desk, stool, key, wrong):
    answer = desk.post(address(stool), {"key": key} | wrong)
    assert answer.status_code == 422
    text = answer.content.decode()
    assert 'aria-invalid="true"' in text
    for name, value in wrong.items():
        if name.startswith(("count", "bought_name", "tool", "minutes")):
            assert f'name="{name}" value="{value}"' in text
    assert not Item.objects.exists()


def test_a_design_in_itself_is_refused_with_a_sentence(desk, stool, leg, key):
    Item.objects.create(design=leg, line=1, component=stool)
    answer = desk.post(address(stool), {"key": key} | row(1, component=leg.pk))
    assert answer.status_code == 422
    assert "would be a piece of itself" in answer.content.decode()


def test_only_the_lead_sets_a_list(floor, stool, key):
    assert floor.get(reverse("products:design-detail", args=[stool.pk])).status_code == 200
    assert floor.post(address(stool), {"key": key}).status_code == 403


def test_the_page_of_a_design_asks_the_same_however_long_the_list(
    floor, stool, django_assert_max_num_queries
):
    for line in range(1, 11):
        Item.objects.create(design=stool, line=line, component=DesignFactory())
    with django_assert_max_num_queries(25):
        floor.get(reverse("products:design-detail", args=[stool.pk]))


def test_a_use_that_needs_approval_is_said_on_its_page(floor):
    design = DesignFactory(uses=["food"])
    text = floor.get(reverse("products:design-detail", args=[design.pk])).content.decode()
    assert "Food or drink: this needs approval the tool cannot give." in text
