"""Bends against geometry drawn out point by point, and the conduction series."""

from math import pi

import pytest
from shapely.geometry import LineString, Point

from products.calculations.calculators import Impossible
from workshop.calculations.bends import BEND, Leg, bend

PLATE = {"thickness_mm": 5, "radius_mm": 10, "angle_deg": 90}
ASKED = {each.name: each.default for each in BEND.inputs}
ASKED |= {"diffusivity": 1.0, "slow": 0.9, "fast": 1.2, "fume_above_c": 270}


def test_a_right_angle_worked_by_hand():
    """Legs of 100 less 15 each, and a quarter circle of radius 12.25: 170 + 19.24."""
    found = bend(Leg(100, 100), **PLATE)
    assert found.flat_mm == pytest.approx(170 + pi / 2 * 12.25)


def test_the_neutral_line_drawn_by_a_library_of_shapes_is_as_long():
    """Neutral line in the middle: the bent sheet's middle, drawn with round corners by buffering."""
    centre = Point(15, 15)
    arc = centre.buffer(12.5, quad_segs=4000).exterior
    quarter = arc.length / 4
    legs = LineString([(2.5, 100), (2.5, 15)]).length + LineString([(15, 2.5), (100, 2.5)]).length
    assert bend(Leg(100, 100), **PLATE, neutral=0.5).flat_mm == pytest.approx(
        legs + quarter, rel=1e-6
    )


def test_a_bend_by_nothing_is_the_sum_of_its_legs():
    found = bend(Leg(60, 40), thickness_mm=5, radius_mm=10, angle_deg=1e-9)
    assert found.flat_mm == pytest.approx(100)


@pytest.mark.parametrize(
    ("changes", "codes"),
    [
        ({"springback_deg": 3}, []),
        ({}, ["measure-springback"]),
        ({"radius_mm": 9, "springback_deg": 3}, ["tight"]),
        ({"angle_deg": 170, "springback_deg": 12}, ["over-straight"]),
    ],
)
def test_what_is_unusual_is_noted(changes, codes):
    assert [note.code for note in bend(Leg(300, 300), **PLATE | changes).notes] == codes


def test_a_leg_that_ends_in_the_bend_is_refused_at_its_box():
    with pytest.raises(Impossible) as refused:
        bend(Leg(100, 14), **PLATE)
    assert (refused.value.code, refused.value.at) == ("short-leg", "second_mm")


def test_heat_from_one_side_takes_four_times_as_long():
    both, one = (BEND.answer(ASKED | {"heated": side}).values for side in ("both", "one"))
    assert one["heat_usual_min"] == pytest.approx(4 * both["heat_usual_min"])


def test_the_springback_is_bent_over():
    assert BEND.answer(ASKED | {"springback_deg": 4}).values["over_deg"] == 94


def test_a_middle_hotter_than_the_surface_is_refused():
    with pytest.raises(Impossible) as refused:
        BEND.answer(ASKED | {"end_c": 180})
    assert refused.value.code == "not-between"
