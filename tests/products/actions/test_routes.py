"""The route of a design is set."""

import pytest

from products.actions.routes import set_route
from products.models import Design
from tests.factories.book import refused, written
from tests.factories.inventory import make_act
from tests.factories.workshop import DesignFactory

pytestmark = pytest.mark.django_db
ROUTE = [("granulate", "8 mm screen"), ("press", ""), ("cut", ""), ("finish", "edges")]


@pytest.fixture
def design():
    return DesignFactory(made_by="press")


def put(design, by, route, act=None):
    return set_route(design=design, route=route, act=act or make_act(by))


def test_a_route_keeps_its_order(lead, design):
    put(design, lead, ROUTE)
    route = Design.objects.get().route
    assert [line["work"] for line in route] == ["granulate", "press", "cut", "finish"]
    assert route[0]["note"] == "8 mm screen"


def test_an_empty_route_takes_it_away(lead, design):
    put(design, lead, ROUTE)
    put(design, lead, [])
    assert Design.objects.get().route == []


@pytest.mark.parametrize(
    "wrong",
    [[("press", ""), ("bake", "")], [("press", "")] * 13, [("press", "x" * 121)], [("cut", "")]],
)
def test_refuses_a_route_that_does_not_lead_to_the_design(lead, design, wrong):
    with refused("route"):
        put(design, lead, wrong)


def test_a_repeat_changes_nothing(lead, design):
    act = make_act(lead)
    put(design, lead, ROUTE, act=act)
    put(design, lead, [("press", "")])
    before = written()
    assert put(design, lead, ROUTE, act=act) == design
    assert written() == before
