"""Densities by weighing against worked figures, a library of uncertainties and published baths."""

import json
from math import sqrt
from pathlib import Path

import pytest
from uncertainties import ufloat

from products.calculations.calculators import Impossible
from workshop.calculations.buoyancy import (
    DENSITY,
    FLOAT_SINK,
    WATER_23_C,
    brine_g_cm3,
    brine_percent,
    density_by_buoyancy,
    liquid_with_sinker,
)

FILE = Path(__file__).resolve().parents[3] / "fixtures" / "reference_materials.json"
POLYMERS = {row["symbol"]: row for row in json.loads(FILE.read_text())["polymers"]}
PS = {"air_g": 10.0, "liquid_g": 0.499, "liquid_g_cm3": 0.99754}


@pytest.mark.parametrize("step", [0.001, 0.1])
def test_the_uncertainty_is_that_of_a_library(step):
    u = step / 2 / sqrt(3)
    air, liquid = ufloat(10, u), ufloat(0.499, u)
    expected = air * 0.99754 / (air - liquid)
    found = density_by_buoyancy(**PS, resolution_g=step)
    assert found.g_cm3 == pytest.approx(expected.n)
    assert found.standard_g_cm3 == pytest.approx(expected.s)
    assert found.expanded_g_cm3 == pytest.approx(2 * expected.s)


def test_polystyrene_in_water():
    """Worked by hand: 10.000 g in air, 0.499 g in water at 23 C is 1.0499 g/cm3."""
    found = density_by_buoyancy(**PS, resolution_g=0.001)
    assert found.g_cm3 == pytest.approx(1.0499, abs=5e-5)
    assert found.notes == ()


def test_a_coarse_balance_is_said_to_be_one():
    notes = density_by_buoyancy(air_g=10, liquid_g=0.5, liquid_g_cm3=0.9975, resolution_g=0.5).notes
    assert [note.code for note in notes] == ["coarse"]


def test_a_floating_piece_with_its_sinker():
    """ASTM D792 (laboratory page): a 5.000, w 10.000, b 9.780: sg 0.95785, 955.6 kg/m3 with 997.6."""
    apparent = liquid_with_sinker(air_g=5, sinker_g=10, both_g=9.78)
    found = density_by_buoyancy(air_g=5, liquid_g=apparent, liquid_g_cm3=0.9976, resolution_g=0.001)
    assert found.g_cm3 == pytest.approx(0.9556, abs=5e-5)


@pytest.mark.parametrize("step", [0.001, 0.1])
def test_a_sinker_is_one_reading_more_in_the_uncertainty(step):
    """JCGM 100, 5.1.2: piece, sinker and both are three independent readings; propagated by a library."""
    u = step / 2 / sqrt(3)
    piece, sinker, both = ufloat(5, u), ufloat(10, u), ufloat(9.78, u)
    expected = piece * 0.99754 / (piece + sinker - both)
    asked = {"air_g": 5, "sinker_g": 10, "liquid_g": 9.78, "liquid_g_cm3": 0.99754}
    ends = {"density_low": None, "density_high": None, "resolution_g": step}
    found = DENSITY.answer(asked | ends).values
    assert found["g_cm3"] == pytest.approx(expected.n)
    assert found["standard_g_cm3"] == pytest.approx(expected.s)
    assert found["most_g_cm3"] == pytest.approx(expected.n + 2 * expected.s)


def test_a_piece_that_no_liquid_carries_is_refused():
    with pytest.raises(Impossible) as refused:
        density_by_buoyancy(air_g=10, liquid_g=10, liquid_g_cm3=1, resolution_g=0.001)
    assert refused.value.code == "no-buoyancy"


@pytest.mark.parametrize(("band", "code"), [((1.04, 1.06), "fits"), ((0.94, 0.965), "differs")])
def test_the_density_is_held_against_the_polymers_band(band, code):
    ends = {"density_low": band[0], "density_high": band[1]}
    found = DENSITY.answer(PS | {"sinker_g": None, "resolution_g": 0.001} | ends)
    assert [note.code for note in found.notes] == [code]


@pytest.mark.parametrize(("percent", "density"), [(10, 1.0707), (20, 1.1478), (26, 1.1972)])
def test_published_brines(percent, density):
    """NaCl table, Torun physics laboratory, 20 C."""
    assert brine_g_cm3(percent) == pytest.approx(density, abs=5e-4)
    assert brine_percent(density) == pytest.approx(percent)


@pytest.mark.parametrize(("density", "percent"), [(1.08, 11.2), (1.10, 13.9)])
def test_baths_that_screen_flame_retardants(density, percent):
    """Interpolated in the same table: 11.2 and 13.9 % NaCl by mass."""
    assert brine_percent(density) == pytest.approx(percent, abs=0.15)


def test_salt_in_a_litre():
    """The same table: 10 % is 107.07 g of NaCl in a litre."""
    ends = {"density_low": 1, "density_high": 1, "margin_g_cm3": 0.01}
    values = FLOAT_SINK.answer(ends | {"bath": "water", "own_g_cm3": 1.0707}).values
    assert values["salt_g_l"] == pytest.approx(107.07, abs=0.01)


@pytest.mark.parametrize(
    ("symbol", "water", "brine"),
    [
        ("PP", "floats", "floats"),
        ("PE-HD", "floats", "floats"),
        ("PS", "sinks", "floats"),
        ("PA6", "sinks", "floats"),
        ("PET", "sinks", "sinks"),
    ],
)
def test_polymers_in_water_and_saturated_brine(symbol, water, brine):
    """Densities of the textbook and the brine table put them so."""
    row = POLYMERS[symbol]
    asked = {"density_low": float(row["density_low"]), "density_high": float(row["density_high"])}
    asked |= {"own_g_cm3": None, "margin_g_cm3": 0.01}
    fates = [FLOAT_SINK.answer(asked | {"bath": b}).values["fate"] for b in ("water", "brine-full")]
    assert fates == [water, brine]


def test_densities_out_of_order_are_refused():
    asked = {"bath": "water", "own_g_cm3": None, "margin_g_cm3": 0.01}
    with pytest.raises(Impossible) as refused:
        FLOAT_SINK.answer(asked | {"density_low": 1.1, "density_high": 1.0})
    assert refused.value.code == "order"


def test_half_and_half_alcohol_and_a_narrow_margin_are_noted():
    asked = {"bath": "alcohol", "own_g_cm3": None, "margin_g_cm3": 0.005}
    found = FLOAT_SINK.answer(asked | {"density_low": 0.9, "density_high": 0.91})
    assert [note.code for note in found.notes] == ["narrow", "hydrometer"]


# Density of water in kg/m3 by IAPWS-95, frozen from chemicals 1.5.2 (iapws95_rho): too large to depend on.
IAPWS95 = {20: 998.207, 23: 997.541, 25: 997.048}


def test_the_densities_of_water_that_are_offered_are_those_of_iapws_95():
    box = next(each for each in DENSITY.inputs if each.default == WATER_23_C)
    assert pytest.approx(IAPWS95[23], abs=0.005) == WATER_23_C * 1000
    said = [f"{kg_m3 / 1000:.4f} at {temperature_c}" for temperature_c, kg_m3 in IAPWS95.items()]
    assert [each for each in said if each not in box.help] == []


def test_the_constant_of_astm_d792_lies_by_that_of_iapws_95():
    # ASTM D792 (laboratory page): density = 997.6 kg/m3 times the specific gravity at 23 C
    assert pytest.approx(997.6, abs=0.1) == WATER_23_C * 1000
