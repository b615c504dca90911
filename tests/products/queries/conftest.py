"""A run's parts, and what was printed for them."""

import pytest

from products.actions.labels import print_labels
from products.queries.things import Thing
from tests.factories.grids import GridFactory
from tests.factories.inventory import KG, make_act, make_full_bin
from tests.factories.workshop import load, make_run, weigh_out
from tests.kept import kept


@pytest.fixture
@kept
def run(operator):
    """Two thirds of blue and one third of red were pressed into three sheets of 3 kg."""
    run = make_run(operator)
    load(run, make_full_bin(operator)[1], operator, 6 * KG)
    load(run, make_full_bin(operator, colour="red")[1], operator, 3 * KG)
    weigh_out(run, operator, "part", 9 * KG, pieces=3)
    return run


@pytest.fixture
def grid(db):
    return GridFactory()


@pytest.fixture
def stick(operator, grid):
    """Print the label of one thing."""

    def stick_one(kind, code, reason="", on=None):
        act = make_act(operator, reason)
        return print_labels(things=[Thing(kind, code)], grid=on or grid, act=act)

    return stick_one
