"""Shrinkage is of the cavity: definition, its inverse, and what the band leaves open."""

import pytest

from products.calculations.calculators import Impossible
from products.calculations.shrinkages import SHRINKAGE, cavity, shrinkage_percent

BAND = {"least": 1.5, "most": 5.0}
ASKED = {"part_mm": 100, "usual_percent": 1.8, "least_percent": 1.5, "most_percent": 5.0}


def test_the_definition_and_its_inverse():
    """Glossary of mould shrinkage: cavity 100, part 98.2 is 1.8 %."""
    assert shrinkage_percent(cavity_mm=100, part_mm=98.2) == pytest.approx(1.8)
    assert cavity(part_mm=98.2, usual=1.8, **BAND).cavity_mm == pytest.approx(100)


@pytest.mark.parametrize(
    ("part", "percent", "right", "slip"),
    [(100, 1.8, 101.833, 101.800), (500, 2, 510.204, 510.000)],
)
def test_adding_per_cent_to_the_part_is_short(part, percent, right, slip):
    """Worked by hand."""
    found = cavity(part_mm=part, usual=percent, **BAND)
    assert found.cavity_mm == pytest.approx(right, abs=5e-4)
    assert found.wrong_mm == pytest.approx(right - slip, abs=5e-4)


def test_the_band_says_how_long_the_part_comes_out():
    found = cavity(part_mm=100, usual=2.5, **BAND)
    assert found.part_least_mm == pytest.approx(found.cavity_mm * 0.95)
    assert found.part_most_mm == pytest.approx(found.cavity_mm * 0.985)
    assert [note.code for note in found.notes] == ["wide"]


def test_a_figure_outside_its_band_is_noted():
    codes = [note.code for note in cavity(part_mm=1, usual=6, **BAND).notes]
    assert codes == ["outside"]


def test_a_measured_shrinkage_goes_before_the_table():
    measured = {"measured_cavity_mm": 100, "measured_part_mm": 98}
    found = SHRINKAGE.answer(ASKED | measured)
    assert found.values["used_percent"] == pytest.approx(2)
    assert found.values["cavity_mm"] == pytest.approx(100 / 0.98)
    assert found.notes == ()


@pytest.mark.parametrize(("part", "code"), [(101, "negative"), (70, "too-much")])
def test_sizes_that_were_misread_are_refused(part, code):
    with pytest.raises(Impossible) as refused:
        SHRINKAGE.answer(ASKED | {"measured_cavity_mm": 100, "measured_part_mm": part})
    assert refused.value.code == code


@pytest.mark.parametrize(
    ("typed", "empty"),
    [
        ({"measured_cavity_mm": 100, "measured_part_mm": None}, "measured_part_mm"),
        ({"measured_cavity_mm": None, "measured_part_mm": 98}, "measured_cavity_mm"),
    ],
)
def test_half_a_measurement_is_not_passed_over(typed, empty):
    """S = (Lc - Lp) / Lc needs both lengths; without the other the table would answer in its place, unsaid."""
    with pytest.raises(Impossible) as refused:
        SHRINKAGE.answer(ASKED | typed)
    assert (refused.value.code, refused.value.at) == ("half-measured", empty)
