"""Fields that parse what people type."""

from uuid import uuid4

import pytest
from django.core.exceptions import ValidationError

from inventory.forms.fields import (
    BinField,
    ColourField,
    MassField,
    PolymerField,
    SomeField,
    WeighedForm,
)
from inventory.models import Polymer
from tests.factories.inventory import BinFactory, polymer


@pytest.mark.parametrize(
    ("typed", "mass_mg"), [("2.5", 2_500_000), ("2,5", 2_500_000), ("250 g", 250_000), ("", None)]
)
def test_a_mass_is_typed_in_kg_or_with_its_unit(typed, mass_mg):
    assert MassField(required=False).clean(typed) == mass_mg


@pytest.mark.parametrize(
    ("typed", "code"),
    [
        ("heavy", "not-a-number"),
        ("-1", "not-positive"),
        ("0", "not-positive"),
        ("1e3", "not-a-number"),
    ],
)
def test_refuses_what_is_no_mass(typed, code):
    with pytest.raises(ValidationError) as refusal:
        MassField().clean(typed)
    assert refusal.value.code == code


@pytest.mark.parametrize(("units", "unit"), [("metric", "kg"), ("imperial", "lb")])
def test_a_mass_tells_the_page_in_which_unit_a_bare_number_is_meant(settings, units, unit):
    settings.MASS_UNITS = units
    assert f'data-unit="{unit}"' in str(WeighedForm()["mass"])


@pytest.mark.parametrize("key", ["9" * 19, "9" * 5000, "-" + "9" * 30, "x", "0"])
def test_a_key_that_names_nothing_is_none_of_the_choices(db, key):
    """SQLite would break on a whole number of more than 64 bits."""
    field = SomeField(queryset=Polymer.objects.all())
    with pytest.raises(ValidationError):
        field.clean([key])
    assert list(field.clean([str(polymer("PP").pk)])) == [polymer("PP")]


def weighed(**typed) -> WeighedForm:
    return WeighedForm({"key": str(uuid4()), **typed})


@pytest.mark.django_db
def test_an_entry_from_before_the_units_changed_is_taken_by_the_unit_behind_its_mass(settings):
    settings.MASS_UNITS = "imperial"
    form = weighed(mass="1.5 kg", unit="kg")
    assert form.is_valid()
    assert form.weighed().mg == 1_500_000


@pytest.mark.django_db
def test_refuses_a_bare_mass_whose_unit_is_offered_no_more(settings):
    settings.MASS_UNITS = "imperial"
    form = weighed(mass="1.5", unit="kg")
    assert not form.is_valid()
    assert form.errors.as_data()["mass"][0].code == "no-unit"


@pytest.mark.django_db
@pytest.mark.parametrize("typed", ["PE-HD", "HDPE", "hd pe", "pehd"])
def test_a_polymer_is_known_by_its_trade_spellings(typed):
    assert PolymerField().clean(typed) == polymer("PE-HD")


@pytest.mark.django_db
def test_refuses_a_polymer_nobody_knows():
    with pytest.raises(ValidationError) as refusal:
        PolymerField().clean("wonderstuff")
    assert refusal.value.code == "no-polymer"


@pytest.mark.django_db
def test_a_bin_is_known_by_its_name_its_code_and_its_label_address():
    bin = BinFactory(name="B-07")
    field = BinField()
    assert field.clean("b-07") == field.clean(bin.code.lower()) == bin
    assert field.clean(f"https://shop.example/q/{bin.code}") == bin


@pytest.mark.django_db
def test_refuses_a_bin_that_is_not_there():
    with pytest.raises(ValidationError) as refusal:
        BinField().clean("B-77")
    assert refusal.value.code == "no-bin"


@pytest.mark.django_db
def test_a_colour_is_offered_as_its_swatch():
    labels = dict(ColourField().choices)
    assert 'fill="#2a68b0"' in labels["blue"]
