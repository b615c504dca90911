"""Blend densities against a worked figure and volumes added by hand."""

import pytest

from products.calculations.calculators import Impossible
from workshop.calculations.blends import BLEND, blend_density_g_cm3

ASKED = {each.name: each.default for each in BLEND.inputs}
ASKED |= {"density_1_g_cm3": 0.955, "density_2_g_cm3": 0.920, "density_3_g_cm3": None}


def test_seventy_to_thirty():
    """Worked by hand: 0.9442; the plain average 0.9445 is wrong."""
    values = BLEND.answer(ASKED).values
    assert values["g_cm3"] == pytest.approx(0.9442, abs=5e-5)
    assert values["average_g_cm3"] == pytest.approx(0.9445)


def test_a_litre_of_each_weighs_half_their_sum_by_the_litre():
    assert blend_density_g_cm3([(0.9, 0.9), (2.7, 2.7)]) == pytest.approx(1.8)


def test_a_mass_without_a_density_is_refused_at_its_box():
    with pytest.raises(Impossible) as refused:
        BLEND.answer(ASKED | {"mass_3_kg": 5})
    assert (refused.value.code, refused.value.at) == ("no-density", "density_3_g_cm3")


def test_no_mass_at_all_is_refused():
    with pytest.raises(Impossible) as refused:
        BLEND.answer(ASKED | {"mass_1_kg": None, "mass_2_kg": 0})
    assert refused.value.code == "nothing"


@pytest.mark.parametrize(("second", "codes"), [("PE-LD", ["mixes"]), ("PE-HD", []), ("", [])])
def test_different_polymers_are_noted(second, codes):
    found = BLEND.answer(ASKED | {"polymer_2": second})
    assert [note.code for note in found.notes] == codes


@pytest.mark.parametrize(
    ("symbols", "pair"),
    [
        (
            ("PVC-U", "POM"),
            ("POM", "PVC-U"),
        ),  # violent, gas-forming: training notes on PVC and acetal
        (("PET", "PVC-U"), ("PET", "PVC-U")),  # chain scission at trace level: TU Delft course page
        (("PP", "PE-HD", "POM"), ("PE-HD", "POM")),
    ],
)
def test_what_must_never_meet_is_not_only_said_to_mix_badly(symbols, pair):
    asked = ASKED | {"mass_3_kg": 1, "density_3_g_cm3": 1.4, "polymer_3": ""}
    found = BLEND.answer(asked | {f"polymer_{n}": each for n, each in enumerate(symbols, 1)})
    assert [note.code for note in found.notes] == ["never"]
    assert tuple(found.notes[0].facts.values()) == pair
