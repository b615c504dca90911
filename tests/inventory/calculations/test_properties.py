"""Properties of polymers: the figures a calculator asks for, and what they rest on."""

import json
from pathlib import Path

import pytest

from inventory.calculations.properties import UNITS, Figure, figures_of

FILE = Path(__file__).resolve().parents[3] / "fixtures" / "reference_materials.json"
POLYMERS = {row["symbol"]: row for row in json.loads(FILE.read_text())["polymers"]}
each_polymer = pytest.mark.parametrize("row", POLYMERS.values(), ids=POLYMERS)


@each_polymer
def test_every_property_has_a_unit_and_names_its_source(row):
    for name, (*_figures, keys) in row["properties"].items():
        assert name in UNITS
        assert set(keys.split()) <= set(row["sources"]["properties"].split())


@each_polymer
def test_low_typical_and_high_are_in_order(row):
    for name, (low, typical, high, _keys) in row["properties"].items():
        assert name == "spencer-gilmore" or 0 <= low <= typical <= high


def test_reject_material_has_no_property_to_heat_it_by():
    assert {s for s, row in POLYMERS.items() if not row["properties"]} == {"PVC-U", "POM"}


@pytest.mark.parametrize(
    ("symbol", "conductivity", "density", "heat", "printed"),
    [
        ("PC", 0.2, 1150, 1200, 1.47),
        ("PE-LD", 0.24, 920, 2200, 1.17),
        ("PMMA", 0.2, 1180, 1500, 1.09),
    ],
)
def test_the_band_of_diffusivity_holds_the_textbooks_value(
    symbol, conductivity, density, heat, printed
):
    """Crawford, "Plastics Engineering", table 1.8: k, rho, cp and the printed alpha in 1e-7 m2/s."""
    low, _typical, high, _keys = POLYMERS[symbol]["properties"]["thermal-diffusivity"]
    assert conductivity / density / heat * 1e7 == pytest.approx(printed, rel=0.04)
    assert low <= printed <= high


@pytest.mark.parametrize(
    ("keys", "basis"),
    [(("CR",), ""), (("CR", "M"), "memory"), (("M-std",), "memory"), (("PG", "J"), "judgement")],
)
def test_a_figure_is_as_good_as_its_weakest_source(keys, basis):
    assert Figure(1, keys).basis == basis


def test_the_typical_figure_has_the_bare_name():
    found = figures_of({"mould-shrinkage": [1, 2, 3, "PG"]})
    assert {name: each.value for name, each in found.items()} == {
        "mould-shrinkage:low": 1,
        "mould-shrinkage": 2,
        "mould-shrinkage:high": 3,
    }
