"""Ids and units; factors of units against the definition of the pound of 1959 (exactly 0.45359237 kg)."""

import json
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.calculations.epcis_terms import UNITS, kilograms, lot_id, milligrams, thing_id


def test_ids_have_the_private_forms_of_cbv():
    assert thing_id("https://a.example", "7K3M") == "https://a.example/obj/7K3M"
    assert lot_id("https://a.example", "7K3M") == "https://a.example/class/7K3M"


@given(st.integers(1, 10**14))
def test_a_mass_written_as_json_is_read_back_to_the_milligram(mass_mg):
    written = json.loads(json.dumps(kilograms(mass_mg)))
    assert milligrams(written, "KGM") == mass_mg


@pytest.mark.parametrize(
    ("quantity", "unit", "mg"),
    [
        (1, "TNE", 10**9),
        (2.5, "GRM", 2500),
        (7, "MGM", 7),
        (1, "LBR", Fraction("453592.37")),
        (16, "ONZ", Fraction("453592.37")),
    ],
)
def test_units_of_mass(quantity, unit, mg):
    assert milligrams(quantity, unit) == mg


def test_what_is_no_mass_has_none():
    assert milligrams(3, "LTR") is None
    assert "ZZZ" not in UNITS
    assert "kg" not in UNITS
