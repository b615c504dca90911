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


# Heats of fusion of wholly crystalline polymers: TA Instruments note TN048, kJ/mol and g/mol of a unit.
WHOLE = {"PE-HD": (4.11, 14.03, 293), "PP": (8.70, 42.08, 207), "PA6": (26.0, 113.2, 230)}


@pytest.mark.parametrize(("symbol", "row"), WHOLE.items())
def test_no_usual_heat_of_fusion_is_above_that_of_the_whole_crystal(symbol, row):
    kj_mol, g_mol, j_g = row
    assert 1000 * kj_mol / g_mol == pytest.approx(j_g, abs=1)
    assert POLYMERS[symbol]["properties"]["heat-of-fusion"][2] < j_g


@pytest.mark.parametrize(
    ("symbol", "end", "measured", "percent"), [("PE-HD", 1, 201, 68.6), ("PP", 2, 112, 54.1)]
)
def test_measured_heats_of_fusion_give_the_usual_crystallinity(symbol, end, measured, percent):
    """NETZSCH property pages: 201 J/g for PE-HD, up to 112 J/g for PP."""
    assert POLYMERS[symbol]["properties"]["heat-of-fusion"][end] == measured
    assert 100 * measured / WHOLE[symbol][2] == pytest.approx(percent, abs=0.2)


def test_amorphous_polymers_melt_without_heat_of_fusion():
    """Amorphous by the handbook (from memory): PS, PS-HI, ABS, PC, PMMA, SAN, PET-G."""
    amorphous = {"PS", "PS-HI", "ABS", "PC", "PMMA", "SAN", "PET-G"}
    none = {
        s
        for s, r in POLYMERS.items()
        if r["properties"].get("heat-of-fusion", [1])[0:3] == [0, 0, 0]
    }
    assert none == amorphous


def test_the_specific_heat_of_polypropylene_spans_the_handbooks_rise():
    """Springer Handbook of Condensed Matter and Materials Data, table 3.3-6: 1.68 at 20 C, 2.35 at 100 C."""
    assert POLYMERS["PP"]["properties"]["specific-heat-solid"][0] == 1.68
    assert POLYMERS["PP"]["properties"]["specific-heat-solid"][2] == 2.35


# EN 12524:2000, tabulated design values: kg/m3, W/(m K), J/(kg K); as the library ht 1.2.0 (ht.insulation,
# MIT licence) carries them.
EN_12524 = {
    "PVC-U": (1390, 0.17, 900), "PC": (1200, 0.20, 1200), "PMMA": (1180, 0.18, 1500),
    "PS": (1050, 0.16, 1300), "PP": (910, 0.22, 1800), "PE-LD": (920, 0.33, 2200),
}  # fmt: skip


@pytest.mark.parametrize("symbol", EN_12524)
def test_densities_are_within_a_tenth_of_the_design_values(symbol):
    kg_m3 = float(POLYMERS[symbol]["density_typical"]) * 1000
    assert kg_m3 == pytest.approx(EN_12524[symbol][0], rel=0.10)


@pytest.mark.parametrize(
    "symbol", sorted(EN_12524.keys() - {"PVC-U"})
)  # which is never heated here
def test_heat_and_conductivity_are_near_the_design_values(symbol):
    """The conductivity is alpha rho cp of what is stored; the diffusivity is the weakest figure of all."""
    _kg_m3, w_mk, j_kgk = EN_12524[symbol]
    row = POLYMERS[symbol]
    stored_j_kgk = row["properties"]["specific-heat-solid"][1] * 1000
    m2_s = row["properties"]["thermal-diffusivity"][1] * 1e-7
    assert stored_j_kgk == pytest.approx(j_kgk, rel=0.25)
    conductivity = m2_s * float(row["density_typical"]) * 1000 * stored_j_kgk
    assert conductivity == pytest.approx(w_mk, rel=0.40)


def test_polycarbonate_has_the_density_and_the_heat_of_the_design_values():
    row = POLYMERS["PC"]
    stored = float(row["density_typical"]), row["properties"]["specific-heat-solid"][1]
    assert stored == (1.2, 1.2)


@pytest.mark.parametrize(
    ("symbol", "measured"),
    [("PE-HD", 133), ("PE-LD", 112), ("PE-LLD", 124), ("PP", 164), ("PC", 147), ("PA6", 223)],
)
def test_measured_peaks_lie_where_a_polymer_is_said_to_melt(symbol, measured):
    """DSC peaks, and Tg of PC, of the NETZSCH property pages in C."""
    low, _typical, high, _keys = POLYMERS[symbol]["properties"]["melts-at"]
    assert low <= measured <= high


@each_polymer
def test_a_polymer_melts_below_every_heat_that_it_is_worked_melted_at(row):
    worked = [row["windows"].get(n) for n in ("inject-melt", "extrude-melt", "press-platen")]
    if row["properties"]:
        melts = row["properties"]["melts-at"][1]
        assert [window for window in worked if window and window[0] < melts] == []
        assert melts < row["fume_above_c"]
