"""Sections against textbook figures, a library of polygons and numerical sums over strips."""

from math import cos, pi, sin

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from shapely.geometry import LinearRing, Polygon

from products.calculations.calculators import Impossible
from products.calculations.sections import (
    Ribs,
    box,
    crosses,
    parse_points,
    polygon_area_mm2,
    polygon_girth_mm,
    rectangle,
    ribbed_plate,
    rod,
    tube,
)


def test_a_box_and_a_bar():
    """Published with a mesh library of sections: 40 x 40 x 4 has A 576, I 125,952; a bar of 20 x 40 has A 800,
    I 106,667 and 26,667."""
    hollow = box(width_mm=40, height_mm=40, wall_mm=4)
    assert (hollow.area_mm2, hollow.second_moment_mm4) == pytest.approx((576, 125_952))
    assert hollow.modulus_mm3 == pytest.approx(6297.6)
    upright, flat = rectangle(width_mm=20, height_mm=40), rectangle(width_mm=40, height_mm=20)
    assert upright.second_moment_mm4 == pytest.approx(106_666.667)
    assert flat.second_moment_mm4 == pytest.approx(26_666.667)


def strips(width_at, height, count=20_000):
    """Area, second moment and modulus of a section summed over thin strips."""
    y = (np.arange(count) + 0.5) * height / count
    widths = np.array([width_at(each) for each in y])
    step = height / count
    area = (widths * step).sum()
    axis = (widths * y * step).sum() / area
    moment = (widths * (y - axis) ** 2 * step).sum()
    return area, moment, moment / max(axis, height - axis)


def test_a_tube_is_what_its_strips_add_up_to():
    def chord(radius, y):
        return 2 * max(0, radius**2 - (y - 25) ** 2) ** 0.5

    expected = strips(lambda y: chord(25, y) - chord(21, y), 50)
    found = tube(diameter_mm=50, wall_mm=4)
    assert (found.area_mm2, found.second_moment_mm4, found.modulus_mm3) == pytest.approx(
        expected, rel=1e-4
    )


def test_a_tube_without_hollow_would_be_a_rod():
    whole = rod(diameter_mm=50)
    assert tube(diameter_mm=50, wall_mm=24.9999).area_mm2 == pytest.approx(whole.area_mm2)
    assert tube(diameter_mm=50, wall_mm=24.9999).modulus_mm3 == pytest.approx(whole.modulus_mm3)


def test_a_ribbed_plate_is_what_its_strips_add_up_to():
    expected = strips(lambda y: 6 * 4 if y < 18 else 200, 22)
    found = ribbed_plate(width_mm=200, plate_mm=4, ribs=Ribs(50, 6, 18))
    assert (found.area_mm2, found.second_moment_mm4, found.modulus_mm3) == pytest.approx(
        expected, rel=1e-4
    )


@pytest.mark.parametrize(
    ("make", "code"),
    [
        (lambda: box(width_mm=40, height_mm=40, wall_mm=20), "wall"),
        (lambda: tube(diameter_mm=40, wall_mm=20), "wall"),
        (lambda: ribbed_plate(width_mm=100, plate_mm=5, ribs=Ribs(10, 10, 5)), "ribs"),
    ],
)
def test_what_leaves_no_hollow_is_refused(make, code):
    with pytest.raises(Impossible) as refused:
        make()
    assert refused.value.code == code


corners = st.lists(
    st.tuples(st.floats(5, 100), st.floats(0, 2 * pi)),
    min_size=3,
    max_size=12,
    unique_by=lambda p: p[1],
)


@given(corners)
def test_areas_and_girths_are_those_of_a_library_of_polygons(polar):
    points = [(r * cos(a), r * sin(a)) for r, a in sorted(polar, key=lambda p: p[1])]
    shape = Polygon(points)
    if shape.is_valid:
        assert polygon_area_mm2(points) == pytest.approx(shape.area, abs=1e-6)
        assert polygon_girth_mm(points) == pytest.approx(shape.length)
        assert not crosses(points)


@given(
    st.lists(st.tuples(st.floats(-50, 50), st.floats(-50, 50)), min_size=4, max_size=7, unique=True)
)
def test_crossing_sides_are_those_that_a_library_finds(points):
    if crosses(points):
        assert not LinearRing(points).is_simple


@pytest.mark.parametrize(
    ("text", "code"),
    [
        ("", "points"),
        ("0,0 1,1", "points"),
        ("0,0 40,0 x,1", "points"),
        ("0,0 40,0 40", "points"),
        ("0,0 40,0 40,nan", "points"),
        ("0,0 40,0 40,1e9", "points"),
        ("0,0 40,40 40,0 0,40", "crossing"),
        (" ".join(["1,1"] * 300), "points"),
    ],
)
def test_corners_that_make_no_section_are_refused(text, code):
    with pytest.raises(Impossible) as refused:
        parse_points(text)
    assert refused.value.code == code
