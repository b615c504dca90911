"""Dust of saws and routers against a worked figure and a library of units."""

import pint
import pytest

from workshop.calculations.kerfs import KERF, kerf_dust

ureg = pint.get_application_registry()
CUT = {"cut_m": 2.4, "kerf_mm": 3.2, "depth_mm": 10, "density_g_cm3": 0.955}


def test_a_worked_cut():
    """Worked by hand: 2.4 m x 3.2 mm x 10 mm at 0.955 g/cm3 is 73.3 g."""
    assert kerf_dust(**CUT).dust_g == pytest.approx(73.3, abs=0.05)


def test_the_units_are_those_of_a_library_of_units():
    volume = 2.4 * ureg.m * 3.2 * ureg.mm * 10 * ureg.mm
    expected = (volume * 0.955 * ureg.g / ureg.cm**3).to("g").magnitude
    assert kerf_dust(**CUT).dust_g == pytest.approx(expected)


@pytest.mark.parametrize(
    ("sheet_kg", "codes"), [(None, []), (9.55, []), (0.5, ["much"]), (0.05, ["more-than-sheet"])]
)
def test_a_large_share_of_the_sheet_is_noted(sheet_kg, codes):
    assert [note.code for note in kerf_dust(**CUT, sheet_kg=sheet_kg).notes] == codes


def test_each_cut_takes_its_kerf_from_the_edge():
    values = KERF.answer(CUT | {"cuts": 3, "sheet_kg": None}).values
    assert values["lost_mm"] == pytest.approx(9.6)
