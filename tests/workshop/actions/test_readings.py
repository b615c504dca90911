"""What the machine shows is noted beside its window."""

from decimal import Decimal

import pytest

from inventory.models import Polymer
from products.models import Window
from tests.factories.book import refused, sentence, written
from tests.factories.inventory import KG, make_full_bin, polymer
from tests.factories.making import act_at, make_old_run
from tests.factories.workshop import DesignFactory, load
from workshop.actions.readings import note_reading

pytestmark = pytest.mark.django_db


@pytest.fixture
def design():
    return DesignFactory(made_by="inject", form="part")


@pytest.fixture
def run(operator, design):
    """An injection machine loaded with PE-HD, which fumes above 280 °C."""
    _bin, lot = make_full_bin(operator)
    run = make_old_run(operator, "inject", design=design)
    load(run, lot, operator, KG)
    return run


def read(run, by, value, quantity="melt", **more):
    act = act_at(by, 60, **more)
    return note_reading(run=run, quantity=quantity, value=Decimal(value), act=act)


def test_a_reading_keeps_the_window_of_the_design(operator, run, design):
    window = Window.objects.create(design=design, quantity="melt", low=190, high=230)
    reading = read(run, operator, "231.5")
    assert (reading.low, reading.high, reading.window_from) == (190, 230, "design")
    assert reading.place == "above"
    window.delete()
    reading.refresh_from_db()
    assert reading.place == "above"


def test_without_one_it_keeps_that_of_the_polymer_with_its_source(operator, run):
    reading = read(run, operator, "230")
    assert (reading.low, reading.high, reading.window_from) == (182, 274, "polymer")
    assert (reading.window_source, reading.place) == ("PE-HD, PG", "in")


def test_a_quantity_without_a_window_has_no_place_in_one(operator, run):
    assert read(run, operator, "900", "injection-pressure").place == ""


@pytest.mark.parametrize(("value", "is_above"), [("280", False), ("280.5", True)])
def test_a_reading_above_the_fume_ceiling_is_marked(operator, run, value, is_above):
    reading = read(run, operator, value)
    assert (reading.is_above_fume, reading.fume_above_c) == (is_above, 280)


def test_a_pressure_has_no_fume_ceiling(operator, run):
    reading = read(run, operator, "900", "injection-pressure")
    assert (reading.is_above_fume, reading.fume_above_c, reading.polymer) == (False, None, None)


def test_before_loading_the_only_polymer_of_the_design_counts(operator, design):
    design.polymers.set([polymer("PLA")])
    run = make_old_run(operator, "inject", design=design)
    assert read(run, operator, "231").is_above_fume


def test_with_several_polymers_and_no_charge_nothing_is_assumed(operator, design):
    design.polymers.set([polymer("PLA"), polymer("PP")])
    run = make_old_run(operator, "inject", design=design)
    reading = read(run, operator, "231")
    assert (reading.polymer, reading.fume_above_c, reading.place) == (None, None, "")


@pytest.mark.parametrize("value", ["2300", "-274"])
def test_refuses_what_cannot_be_true_in_a_sentence(operator, run, value):
    with refused("absurd") as refusal:
        read(run, operator, value)
    assert "No melt temperature is" in sentence(refusal)


def test_refuses_what_is_not_read_in_this_operation(operator, run):
    with refused("wrong-quantity"):
        read(run, operator, "20", "press-force")


def test_a_repeat_changes_nothing_even_when_the_window_has_moved(operator, run):
    act = act_at(operator, 60)
    reading = note_reading(run=run, quantity="melt", value=Decimal(230), act=act)
    Polymer.objects.filter(symbol="PE-HD").update(windows={})
    before = written()
    assert note_reading(run=run, quantity="melt", value=Decimal(230), act=act) == reading
    assert written() == before
