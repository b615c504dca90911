import json
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.calculations.densities import float_or_sink

FILE = Path(__file__).resolve().parents[3] / "fixtures" / "reference_materials.json"
POLYMERS = {row["symbol"]: row for row in json.loads(FILE.read_text())["polymers"]}
WATER = 0.9975  # at 23 C, IAPWS-95
BRINE = 1.197  # saturated NaCl at 20 C, NaCl solution density table, Torun physics laboratory

# Worked out by hand from published densities (Crawford, "Plastics Engineering", table 1.8; NETZSCH
# property pages; the rest from memory, usual handbook: International Plastics Handbook).
FLOATS_IN_WATER = ["PE-HD", "PE-LD", "PE-LLD", "PP", "EVAC"]
SINKS_IN_WATER = [
    "PS", "PS-HI", "ABS", "PET", "PET-G", "PVC-U", "PA6", "PA66", "POM", "PC",
    "PMMA", "PLA", "TPU", "SAN", "PBT",
]  # fmt: skip
FLOATS_IN_BRINE = [*FLOATS_IN_WATER, "PS", "PS-HI", "ABS", "PA6", "PA66", "SAN"]
SINKS_IN_BRINE = ["PET", "PET-G", "PVC-U", "POM", "PLA", "PBT"]
UNSURE_IN_BRINE = ["PC", "PMMA", "TPU"]

densities = st.floats(0.5, 2.0)


def in_bath(symbol, liquid_density):
    row = POLYMERS[symbol]
    return float_or_sink(
        density_low=float(row["density_low"]),
        density_high=float(row["density_high"]),
        liquid_density=liquid_density,
    )


@pytest.mark.parametrize("symbol", FLOATS_IN_WATER)
def test_floats_in_water(symbol):
    assert in_bath(symbol, WATER) == "floats"


@pytest.mark.parametrize("symbol", SINKS_IN_WATER)
def test_sinks_in_water(symbol):
    assert in_bath(symbol, WATER) == "sinks"


@pytest.mark.parametrize("symbol", FLOATS_IN_BRINE)
def test_floats_in_brine(symbol):
    assert in_bath(symbol, BRINE) == "floats"


@pytest.mark.parametrize("symbol", SINKS_IN_BRINE)
def test_sinks_in_brine(symbol):
    assert in_bath(symbol, BRINE) == "sinks"


@pytest.mark.parametrize("symbol", UNSURE_IN_BRINE)
def test_brine_does_not_tell(symbol):
    assert in_bath(symbol, BRINE) == "unsure"


def test_polypropylene_is_unsure_in_half_isopropanol():
    """About 0.91 g/cm3 at 50 % by mass; from memory, handbook tables of isopropanol and water."""
    assert in_bath("PP", 0.91) == "unsure"


@given(densities, densities)
def test_no_density_both_floats_and_sinks(density, liquid_density):
    answer = float_or_sink(
        density_low=density, density_high=density, liquid_density=liquid_density, margin=0
    )
    assert (answer == "floats") == (density < liquid_density)
    assert (answer == "sinks") == (density > liquid_density)


def test_a_wider_margin_is_less_sure():
    asked = {"density_low": 0.98, "density_high": 0.98, "liquid_density": 1.0}
    assert float_or_sink(**asked) == "floats"
    assert float_or_sink(**asked, margin=0.03) == "unsure"
