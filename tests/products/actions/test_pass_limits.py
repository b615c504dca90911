"""The limit of melt passes of a design is set, or taken away."""

import pytest

from inventory.models import Change
from products.actions.pass_limits import set_pass_limit
from products.calculations.pass_limits import PassLimit
from products.models import Design
from tests.factories.book import refused, written
from tests.factories.inventory import make_act
from tests.factories.workshop import DesignFactory

pytestmark = pytest.mark.django_db


@pytest.fixture
def design():
    return DesignFactory()


def put(design, by, limit, act=None):
    return set_pass_limit(design=design, limit=limit, act=act or make_act(by))


def test_a_limit_is_set_and_the_change_is_written_down(lead, design):
    assert put(design, lead, PassLimit(3, 20)).pass_limit == PassLimit(3, 20)
    assert Change.objects.get().verb == "set pass limit"


def test_a_limit_is_taken_away(lead, design):
    put(design, lead, PassLimit(3, 20))
    assert put(design, lead, None).pass_limit is None


@pytest.mark.parametrize(("times", "percent"), [(0, 20), (10, 20), (3, 100), (3, -1)])
def test_refuses_what_limits_nothing(lead, design, times, percent):
    before = written()
    with refused("pass-limit"):
        put(design, lead, PassLimit(times, percent))
    assert (written(), Design.objects.get().pass_limit) == (before, None)


def test_a_repeat_changes_nothing(lead, design):
    act = make_act(lead)
    put(design, lead, PassLimit(3, 20), act)
    put(design, lead, PassLimit(2, 10))
    put(design, lead, PassLimit(3, 20), act)
    assert Design.objects.get().pass_limit == PassLimit(2, 10)
