"""Sheets and charges against worked figures and a library of units."""

import pint
import pytest

from workshop.calculations.sheet_charges import SheetSize, sheet_charge, sheet_mass_kg

ureg = pint.get_application_registry()


def plate(**changes):
    given = {"density_g_cm3": 0.955, "allowance_percent": 3, "bulk_g_cm3": 0.4} | changes
    return sheet_charge(SheetSize(1000, 1000, 10), **given)


def test_a_square_metre_of_10_mm():
    """Hand check: 0.01 m3 at 955 kg/m3 is 9.55 kg, with 3 % 9.837 kg."""
    assert plate().sheet_kg == pytest.approx(9.550)
    assert plate().charge_kg == pytest.approx(9.837, abs=5e-4)


def test_the_bed_of_the_sheet_alone():
    """Hand check: 10 mm x 955 / 400 = 23.9 mm."""
    assert plate(allowance_percent=0).fill_depth_mm == pytest.approx(23.875)


def test_three_millimetres_of_pmma():
    """Hand check: 3.57 kg/m2 at 1190 kg/m3."""
    assert sheet_charge(
        SheetSize(500, 200, 3), density_g_cm3=1.19, allowance_percent=0
    ).kg_m2 == pytest.approx(3.57)


def test_the_units_are_those_of_a_library_of_units():
    volume = 730 * ureg.mm * 410 * ureg.mm * 12 * ureg.mm
    expected = (volume * 0.905 * ureg.g / ureg.cm**3).to("kg").magnitude
    assert sheet_mass_kg(SheetSize(730, 410, 12), density_g_cm3=0.905) == pytest.approx(expected)


def test_the_frame_holds_the_sheet():
    assert plate().frame_l == pytest.approx((1 * ureg.m**2 * 10 * ureg.mm).to("liter").magnitude)


@pytest.mark.parametrize(
    ("changes", "codes"),
    [
        ({}, []),
        ({"allowance_percent": 1}, ["allowance"]),
        ({"allowance_percent": 6}, ["allowance"]),
        ({"bulk_g_cm3": 1.2}, ["bulk-above-solid"]),
        ({"bulk_g_cm3": 0.2}, ["deep"]),
        ({"bulk_g_cm3": None}, []),
    ],
)
def test_what_is_unusual_is_noted(changes, codes):
    assert [note.code for note in plate(**changes).notes] == codes
