"""Masses in the workshop's units, shown and typed again."""

import pytest
from django.test import override_settings
from django.utils import translation
from hypothesis import given
from hypothesis import strategies as st

from inventory.calculations.masses import LARGEST_MG, parse_mass
from inventory.forms.fields import MassField
from inventory.queries.masses import (
    exact_mass_said,
    in_table_said,
    mass_units,
    public_mass_said,
    table_unit,
    typed_mass,
)


@pytest.fixture
def in_pounds(settings):
    settings.MASS_UNITS = "imperial"


@pytest.mark.parametrize("unit", [None, "lb", "oz"])
@given(mass_mg=st.integers(1, LARGEST_MG))
@override_settings(MASS_UNITS="imperial")
def test_a_mass_shown_in_a_box_and_sent_again_is_the_same(unit, mass_mg):
    assert parse_mass(typed_mass(mass_mg, unit), unit or "lb") == mass_mg


@given(mass_mg=st.integers(1, LARGEST_MG))
def test_a_mass_shown_with_a_decimal_comma_and_sent_again_is_the_same(mass_mg):
    with translation.override("de"):
        assert parse_mass(typed_mass(mass_mg, "kg"), "kg") == mass_mg


def test_a_box_shows_the_decimal_mark_of_the_language():
    with translation.override("de"):
        assert typed_mass(1_234_000, "kg") == "1,234"


@pytest.mark.usefixtures("in_pounds")
@pytest.mark.parametrize(
    ("text", "mass_mg"), [("2.5", 1_133_981), ("1 lb 3 oz", 538_641), ("500 g", 500_000)]
)
def test_a_bare_number_is_in_pounds_where_the_workshop_says_so(text, mass_mg):
    assert MassField().clean(text) == mass_mg


@pytest.mark.usefixtures("in_pounds")
def test_a_box_in_grams_is_one_in_ounces_there():
    assert MassField(unit="g").clean("12") == 340_194


@pytest.mark.usefixtures("in_pounds")
def test_the_units_to_choose_from_are_pounds_and_ounces_there():
    assert [unit for unit, _ in mass_units()] == ["lb", "oz"]


def test_the_units_to_choose_from_are_else_metric():
    assert [unit for unit, _ in mass_units()] == ["kg", "g"]


@pytest.mark.parametrize(
    ("masses_mg", "unit"),
    [([7, 1_000_000], "kg"), ([999_999, 0], "g"), ([], "g"), ([-2_000_000], "kg")],
)
def test_the_largest_figure_decides_the_unit_of_a_table(masses_mg, unit):
    assert table_unit(masses_mg) == unit


@pytest.mark.usefixtures("in_pounds")
@pytest.mark.parametrize(("mass_mg", "unit"), [(453_592, "oz"), (453_593, "lb")])
def test_a_table_is_in_pounds_from_one_pound_on_there(mass_mg, unit):
    """1 lb is 453.59237 g (international pound, NIST Handbook 44, appendix C)."""
    assert table_unit([mass_mg]) == unit


@pytest.mark.parametrize(
    ("mass_mg", "unit", "said"),
    [
        (1_053_500_000, "kg", "1,053.500"),
        (499, "kg", "< 0.001"),
        (500, "kg", "< 0.001"),
        (501, "kg", "0.001"),
        (0, "kg", "0.000"),
        (7, "g", "0.007"),
        (-1_500_000, "kg", "\u22121.500"),
    ],
)
def test_a_figure_of_a_table_has_three_decimals_and_hides_nothing_as_nothing(mass_mg, unit, said):
    assert in_table_said(mass_mg, unit) == said


@pytest.mark.usefixtures("in_pounds")
def test_strangers_read_the_metric_mass_in_brackets():
    assert public_mass_said(1_133_981) == "2.5 lb (1.134 kg)"


def test_strangers_read_a_metric_mass_once():
    assert public_mass_said(1_133_981) == "1.134 kg"


@pytest.mark.usefixtures("in_pounds")
def test_an_exact_mass_in_ounces_tells_every_milligram():
    assert exact_mass_said(340_195) == "12.00003 oz"
