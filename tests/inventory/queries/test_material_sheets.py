"""A polymer's sheet: figures with what they rest on, what floats, and what must not meet."""

from decimal import Decimal

import pytest

from inventory.actions.materials import switch_blend
from inventory.actions.own_figures import return_to_reference, set_own_figure
from inventory.models import Polymer
from inventory.queries.material_sheets import needs_drying, sheet_of, source_names, values_said
from tests.factories.inventory import make_act, polymer

pytestmark = pytest.mark.django_db

# Densities against water 0.9975 (IAPWS-95 at 23 °C) and saturated brine 1.197 g/cm3 (NaCl table at 20 °C).
# Floats and sinks as the sorting texts print them; ? where a grade may lie on either side.
FLOATS = {
    "PE-HD": "F F", "PE-LD": "F F", "PE-LLD": "F F", "PP": "F F", "PS": "S F", "PS-HI": "S F",
    "ABS": "S F", "PET": "S S", "PET-G": "S S", "PVC-U": "S S", "PA6": "S F", "PA66": "S F",
    "POM": "S S", "PC": "S ?", "PMMA": "S ?", "PLA": "S S", "TPU": "S ?", "SAN": "S F",
    "EVAC": "F F", "PBT": "S S",
}  # fmt: skip
LETTER = {"floats": "F", "sinks": "S", "unsure": "?"}


def put(by, symbol, name, **ends):
    ends = {end: Decimal(str(value)) for end, value in ends.items()}
    return set_own_figure(polymer=polymer(symbol), name=name, ends=ends, act=make_act(by, "sheet"))


def line(symbol, name):
    return next(line for line in sheet_of(polymer(symbol)).lines if line.name == name)


@pytest.mark.parametrize(("symbol", "letters"), FLOATS.items())
def test_a_polymer_floats_or_sinks_as_the_texts_say(symbol, letters):
    baths = sheet_of(polymer(symbol)).baths
    assert " ".join(LETTER[bath.answer] for bath in baths) == letters


def test_a_figure_says_on_what_it_rests():
    assert (line("PP", "inject-melt").basis, line("PP", "inject-melt").sources) == ("", ("PG",))
    assert line("PP", "extrude-melt").basis == "memory"
    assert line("PP", "thermal-diffusivity").basis == "judgement"


def test_the_ceiling_and_the_decomposition_of_the_laboratory_are_two_figures():
    """Thermal analysis in nitrogen sees PE-HD decompose at 480 to 498 °C (NETZSCH); it fumes from 280 °C."""
    sheet = sheet_of(polymer("PE-HD"))
    assert sheet.fume.typical == 280
    assert sheet.polymer.decomposes_c[:2] == [480, 498]


def test_no_ceiling_lies_anywhere_near_a_decomposition():
    known = [row for row in Polymer.objects.all() if row.decomposes_c]
    assert {row.symbol for row in known} == {"PE-HD", "PS", "PVC-U"}
    assert all(row.decomposes_c[0] - row.fume_above_c >= 85 for row in known)


def test_an_own_figure_stands_beside_the_reference(lead):
    put(lead, "PP", "press-platen", low=185, high=205)
    found = line("PP", "press-platen")
    assert (found.low, found.high, found.basis) == (185, 205, "own")
    assert found.reference == (190, None, 220)
    assert found.said == "185 to 205\N{NO-BREAK SPACE}°C"
    assert found.reference_said == "190 to 220\N{NO-BREAK SPACE}°C"
    assert found.since_said.startswith("own value since ")


def test_an_own_density_decides_what_floats(lead):
    put(lead, "PP", "density", typical=1.05)  # filled with talc
    assert [bath.answer for bath in sheet_of(polymer("PP")).baths] == ["sinks", "floats"]


def test_the_history_shows_every_act(lead):
    put(lead, "PP", "press-platen", low=185, high=205)
    act = make_act(lead, "new batch")
    return_to_reference(polymer=polymer("PP"), name="press-platen", act=act)
    assert [row.is_back for row in sheet_of(polymer("PP")).history] == [True, False]


def test_a_published_window_above_the_ceiling_is_marked():
    """ABS is injected at 199 to 282 °C by the guideline table and fumes from 260 °C."""
    assert line("ABS", "inject-melt").above_fume_c == 260
    assert line("ABS", "press-platen").above_fume_c is None


@pytest.mark.parametrize("symbol", ["PVC-U", "POM"])
def test_reject_material_has_no_figure_to_heat_it_by(symbol):
    names = {line.name for line in sheet_of(polymer(symbol)).lines}
    assert names == {"density", "fume-above"}


def test_every_source_of_every_sheet_is_explained():
    for row in Polymer.objects.all():
        used = {key for line in sheet_of(row).lines for key in line.sources}
        assert used <= set(source_names())


@pytest.mark.parametrize(
    ("values", "said"),
    [
        ((190, None, 220, "°C"), "190 to 220 °C"),
        ((0.02, None, 0.02, "%"), "0.02 %"),
        ((0.895, 0.905, 0.915, "g/cm³"), "0.905 g/cm³ (0.895 to 0.915)"),
        ((2.5, 2.5, 2.5, "kJ/(kg K)"), "2.5 kJ/(kg K)"),
        ((None, 280, None, "°C"), "280 °C"),
        ((None, None, None, "°C"), ""),
    ],
)
def test_values_are_said_with_their_unit(values, said):
    assert values_said(*values).replace("\N{NO-BREAK SPACE}", " ") == said


@pytest.mark.parametrize(
    ("symbol", "dried"),
    [("PET", True), ("ABS", True), ("PP", False), ("PS", False), ("POM", False)],
)
def test_some_polymers_are_dried_first(symbol, dried):
    assert needs_drying(polymer(symbol)) is dried


def test_a_blend_is_dried_when_one_of_its_two_is(lead):
    pair = {"main": polymer("PS"), "added": polymer("ABS")}
    blend = switch_blend(**pair, is_on=True, act=make_act(lead, "wanted for cases"))
    assert needs_drying(blend.result)
    pair = {"main": polymer("PP"), "added": polymer("PE-HD")}
    blend = switch_blend(**pair, is_on=True, act=make_act(lead, "wanted for crates"))
    assert not needs_drying(blend.result)
    assert not needs_drying(None)


def test_a_sheet_takes_three_queries(django_assert_num_queries):
    row = polymer("PP")
    with django_assert_num_queries(3):
        sheet_of(row)
