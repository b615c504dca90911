"""Profiles against published pipe masses, a library of units and a helix walked in small steps."""

from math import cos, dist, pi, sin

import pint
import pytest

from products.calculations.calculators import Impossible
from products.calculations.profiles import (
    PROFILE,
    Form,
    area_of,
    line_output,
    winding,
)

ureg = pint.get_application_registry()
SIZES = {"side_mm": 40, "height_mm": None, "wall_mm": None, "points": ""}
ROUND = {"strand_mm": 5, "overlap_percent": 0, "layers": 1, "density_g_cm3": 0.955}


def kg_m(area, density):
    return line_output(area_mm2=area, density_g_cm3=density, speed_m_min=1, piece_m=1).kg_m


@pytest.mark.parametrize(
    ("diameter", "wall", "mass"), [(110, 7.05, 2.17), (110, 8.6, 2.62), (160, 10.1, 4.52)]
)
def test_published_masses_of_pe_pipe(diameter, wall, mass):
    """DIN 8074, kg/m, with the mean wall of a PE pipe brochure's tolerances at 950 kg/m3."""
    area = area_of("tube", SIZES | {"side_mm": diameter, "wall_mm": wall})
    assert kg_m(area, 0.950) == pytest.approx(mass, rel=0.01)


def test_a_solid_square_at_half_a_metre_a_minute():
    """Worked by hand: 1.528 kg/m, 0.764 kg/min, 45.8 kg/h."""
    found = line_output(
        area_mm2=area_of("square", SIZES), density_g_cm3=0.955, speed_m_min=0.5, piece_m=2
    )
    assert (found.kg_m, found.kg_min) == pytest.approx((1.528, 0.764))
    assert found.kg_h == pytest.approx(45.84)
    assert (found.pieces_h, found.piece_kg) == pytest.approx((15, 3.056))


def test_the_units_are_those_of_a_library_of_units():
    expected = (1600 * ureg.mm**2 * 0.955 * ureg.g / ureg.cm**3).to("kg/m").magnitude
    assert kg_m(1600, 0.955) == pytest.approx(expected)


@pytest.mark.parametrize(
    ("shape", "sizes", "area"),
    [
        ("round", {}, pi * 400),
        ("flat", {"height_mm": 10}, 400),
        ("box", {"height_mm": 40, "wall_mm": 4}, 576),
        ("polygon", {"points": "0,0 40,0 40,20"}, 400),
    ],
)
def test_areas_of_the_other_shapes(shape, sizes, area):
    assert area_of(shape, SIZES | sizes) == pytest.approx(area)


@pytest.mark.parametrize(
    ("shape", "code", "at"),
    [
        ("flat", "no-height", "height_mm"),
        ("box", "no-height", "height_mm"),
        ("tube", "no-wall", "wall_mm"),
        ("polygon", "no-points", "points"),
    ],
)
def test_a_size_that_the_shape_needs_is_asked_for_at_its_box(shape, code, at):
    with pytest.raises(Impossible) as refused:
        area_of(shape, SIZES)
    assert (refused.value.code, refused.value.at) == (code, at)


def test_every_refusal_of_a_section_has_its_sentence():
    assert {"wall", "points", "crossing"} <= set(PROFILE.notes)


def test_a_strand_is_as_long_as_its_helix_walked_in_small_steps():
    steps = 40 * 720
    angles = [2 * pi * 40 * k / steps for k in range(steps + 1)]
    walk = [(52.5 * cos(a), 52.5 * sin(a), 5 * a / 2 / pi) for a in angles]
    expected = sum(dist(a, b) for a, b in zip(walk, walk[1:], strict=False)) / 1000
    found = winding(Form(100, 200), **ROUND)
    assert found.turns == 40
    assert found.length_m == pytest.approx(expected, rel=1e-4)


def test_each_layer_lies_further_out():
    one, two = (winding(Form(100, 200), **ROUND | {"layers": n}) for n in (1, 2))
    assert two.turns == 80
    assert two.length_m > 2 * one.length_m


def test_overlap_takes_more_strand():
    plain, lapped = (winding(Form(100, 200), **ROUND | {"overlap_percent": o}) for o in (0, 50))
    assert lapped.turns == pytest.approx(2 * plain.turns)


@pytest.mark.parametrize(
    ("form", "codes"), [(Form(100, 4), ["no-turn"]), (Form(8, 50), ["stiff"]), (Form(100, 50), [])]
)
def test_what_cannot_be_wound_well_is_noted(form, codes):
    assert [note.code for note in winding(form, **ROUND).notes] == codes
