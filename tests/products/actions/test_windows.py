"""The windows of a design are set."""

from decimal import Decimal

import pytest

from products.actions.windows import WindowPlan, set_windows
from products.models import Window
from tests.factories.book import refused, written
from tests.factories.inventory import make_act
from tests.factories.workshop import DesignFactory

pytestmark = pytest.mark.django_db


@pytest.fixture
def design():
    return DesignFactory(made_by="inject", form="part")


def plan(quantity, low=None, high=None):
    ends = [None if end is None else Decimal(end) for end in (low, high)]
    return WindowPlan(quantity, *ends)


def put(design, by, *windows, act=None):
    return set_windows(design=design, windows=list(windows), act=act or make_act(by))


def test_new_windows_take_the_place_of_the_old(lead, design):
    put(design, lead, plan("melt", 190, 230), plan("mould", 20))
    put(design, lead, plan("melt", 200, 230))
    window = design.windows.get()
    assert (window.quantity, window.low, window.high) == ("melt", 200, 230)


@pytest.mark.parametrize(
    "wrong", [("melt", 230, 190), ("melt",), ("melt", -300, 190), ("melt", 190, 2300)]
)
def test_refuses_a_window_that_is_none(lead, design, wrong):
    with refused("window"):
        put(design, lead, plan(*wrong))


def test_refuses_two_windows_of_one_quantity(lead, design):
    with refused("window"):
        put(design, lead, plan("melt", 190, 230), plan("melt", 200, 210))


def test_refuses_what_is_not_read_when_it_is_made(lead, design):
    with refused("wrong-quantity"):
        put(design, lead, plan("press-force", 10, 20))


def test_a_repeat_changes_nothing(lead, design):
    act = make_act(lead)
    put(design, lead, plan("melt", 190, 230), act=act)
    put(design, lead, plan("melt", 200, 210))
    before = written()
    assert put(design, lead, plan("melt", 190, 230), act=act) == design
    assert written() == before
    assert Window.objects.get().low == 200
