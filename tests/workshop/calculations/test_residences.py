"""Residence times against a published example, and against volume over flow."""

import pytest

from products.calculations.calculators import Impossible
from workshop.calculations.residences import RESIDENCE, stay

FLIGHTS = {"stroke_diameters": 4}
AT_FIRST = {each.name: each.default for each in RESIDENCE.inputs}


def codes(found):
    return [note.code for note in found.notes]


def test_published_residence_time():
    """How-to page: 200 g held, 100 g shot, 15 s cycle, factor 1.4: 42 s."""
    assert stay(held_g=200, shot_g=100, cycle_s=15, **FLIGHTS).seconds == pytest.approx(42)


def test_a_short_stroke_stays_longer():
    found = stay(held_g=200, shot_g=100, cycle_s=15, stroke_diameters=3.9)
    assert (found.seconds, codes(found)) == (60, ["short-stroke"])


def test_a_long_stay_and_a_shot_that_is_too_large_are_noted():
    assert codes(stay(held_g=200, shot_g=20, cycle_s=60, **FLIGHTS)) == ["long-stay"]
    assert codes(stay(held_g=200, shot_g=220, cycle_s=60, **FLIGHTS)) == ["shot-above-held"]


def test_the_whole_barrel_needs_no_factor_for_the_flights():
    """Mean time is volume over flow (Levenspiel, Chemical Reaction Engineering; from memory)."""
    answer = RESIDENCE.answer(
        AT_FIRST
        | {"barrel_cm3": 200, "melt_g_cm3": 0.74, "solid_g_cm3": 0.905, "cycle_s": 60, "shot_g": 37}
    )
    assert answer.values["shots"] == pytest.approx(4)
    assert answer.values["seconds"] == pytest.approx(240)
    assert (answer.values["melt_g"], answer.values["solid_g"]) == pytest.approx((148, 181))


def test_a_barrel_volume_without_a_melt_density_is_asked_back():
    given = AT_FIRST | {"barrel_cm3": 200, "melt_g_cm3": None, "solid_g_cm3": None}
    with pytest.raises(Impossible) as asked:
        RESIDENCE.answer(given)
    assert (asked.value.code, asked.value.at) == ("no-melt", "melt_g_cm3")
