"""What is read in a run, and within which window."""

from decimal import Decimal

import pytest

from inventory.actions.materials import switch_blend
from inventory.actions.own_figures import set_own_figure
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
    gauge = gauge_of(run, "platen")
    assert (gauge.source, gauge.source_said) == ("PP, M", "PP, from memory: confirm it")
    Window.objects.create(design=design, quantity="platen", low=195)
    gauge = gauge_of(run, "platen")
    assert (gauge.window_from, gauge.low, gauge.high) == ("design", 195, None)


def put(by, name, symbol="PP", **ends):
    ends = {end: Decimal(value) for end, value in ends.items()}
    return set_own_figure(polymer=polymer(symbol), name=name, ends=ends, act=make_act(by, "sheet"))


@pytest.fixture
def pressed(operator):
    """A run that presses PP."""
    design = DesignFactory(made_by="press")
    design.polymers.set([polymer("PP")])
    return make_old_run(operator, design=design)


def test_a_window_of_the_workshops_own_goes_before_that_of_the_reference(pressed, lead):
    put(lead, "press-platen", low=185, high=205)
    found = gauge_of(pressed, "platen")
    assert (found.window_from, found.low, found.high) == ("polymer", 185, 205)
    assert found.source.startswith("PP, own value since ")


def test_a_lower_ceiling_of_the_workshops_own_stops_earlier(pressed, lead):
    assert not gauge_of(pressed, "platen").is_above_fume(250)
    put(lead, "fume-above", typical=240)
    found = gauge_of(pressed, "platen")
    assert (found.fume_above_c, found.is_above_fume(250)) == (240, True)
    assert found.fume_source.startswith("own value since ")


def test_the_ceiling_of_the_reference_names_no_own_value(pressed):
    assert gauge_of(pressed, "platen").fume_source == ""


def test_a_blend_takes_the_lower_own_ceiling_of_its_two(blend, lead):
    put(lead, "fume-above", symbol="PC", typical=250)
    assert fume_ceiling_c(blend.result) == 250
