"""What is read in a run, and within which window."""

import pytest

from inventory.actions.materials import switch_blend
from products.models import Window
from tests.factories.inventory import make_act, polymer
from tests.factories.making import make_old_run
from tests.factories.workshop import DesignFactory
from workshop.queries.readings import fume_ceiling_c, gauge_of, gauges_of

pytestmark = pytest.mark.django_db


@pytest.fixture
def blend(lead):
    """PC with ABS, which fume above 330 and 260 °C."""
    pair = {"main": polymer("PC"), "added": polymer("ABS")}
    return switch_blend(**pair, is_on=True, act=make_act(lead, "wanted for cases"))


def test_a_blend_has_the_lower_fume_ceiling_of_its_two(blend):
    assert fume_ceiling_c(blend.result) == 260


def test_an_unknown_polymer_has_none():
    assert fume_ceiling_c(None) is None


def test_each_operation_reads_its_own(operator):
    assert [gauge.quantity for gauge in gauges_of(make_old_run(operator))] == [
        "platen",
        "press-force",
    ]


def test_the_window_of_the_design_goes_before_that_of_the_polymer(operator):
    design = DesignFactory(made_by="press")
    design.polymers.set([polymer("PP")])
    run = make_old_run(operator, design=design)
    assert gauge_of(run, "platen").source == "PP, M"
    Window.objects.create(design=design, quantity="platen", low=195)
    gauge = gauge_of(run, "platen")
    assert (gauge.window_from, gauge.low, gauge.high) == ("design", 195, None)
