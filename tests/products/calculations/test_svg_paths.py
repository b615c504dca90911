"""Path data of SVG: each command, against its definition in SVG 1.1 (8.3)."""

from math import hypot

import pytest

from products.calculations.svg_paths import arc_pieces, flattened, lines_of_path


@pytest.mark.parametrize(
    ("data", "line"),
    [
        ("M1 2L3 4 5 6", [(1, 2), (3, 4), (5, 6)]),
        ("m1 2 3 4 5 6", [(1, 2), (4, 6), (9, 12)]),
        ("M1,2h3v4H0V0", [(1, 2), (4, 2), (4, 6), (0, 6), (0, 0)]),
        ("M0 0l1-2.5.5.5", [(0, 0), (1, -2.5), (1.5, -2)]),
        ("M0 0A0 5 0 0 1 7 7", [(0, 0), (7, 7)]),
    ],
)
def test_straight_commands(data, line):
    assert lines_of_path(data, 0.1) == [line]


def test_flags_of_an_arc_may_stand_together():
    apart, together = "M0 0a5 5 0 0 1 10 0", "M0 0a5 5 0 0110 0"
    assert lines_of_path(apart, 0.1) == lines_of_path(together, 0.1)


@pytest.mark.parametrize(("large", "sweep"), [(0, 0), (0, 1), (1, 0), (1, 1)])
def test_every_point_of_an_arc_is_its_radius_from_one_centre(large, sweep):
    """Of the two circles of radius 10 through (0, 0) and (10, 0) the centres lie at y = +-8.66."""
    (line,) = lines_of_path(f"M0 0A10 10 0 {large} {sweep} 10 0", 0.01)
    up = 75**0.5 * (1 if large != sweep else -1)
    far = [{round(hypot(x - 5, y + up), 6), round(hypot(x - 5, y - up), 6)} for x, y in line]
    assert all(10 in each for each in far)
    length = sum(hypot(b[0] - a[0], b[1] - a[1]) for a, b in zip(line, line[1:], strict=False))
    sixth = 10 * 3.14159265 / 3
    assert length == pytest.approx(5 * sixth if large else sixth, rel=1e-2)


def test_a_smooth_curve_mirrors_the_control_point_before_it():
    smooth = lines_of_path("M0 0C0 5 5 10 10 10S20 5 20 0", 0.01)
    plain = lines_of_path("M0 0C0 5 5 10 10 10C15 10 20 5 20 0", 0.01)
    assert smooth == plain
    assert lines_of_path("M0 0Q5 5 10 0T20 0", 0.01) == lines_of_path(
        "M0 0Q5 5 10 0Q15 -5 20 0", 0.01
    )


def test_chords_are_no_further_from_the_curve_than_asked():
    points = [(0, 0), (0, 100), (100, 100)]
    line = [points[0], *flattened(points, 0.05)]
    for number, (a, b) in enumerate(zip(line, line[1:], strict=False)):
        t = (number + 0.5) / (len(line) - 1)
        x, y = 100 * t**2, 200 * (1 - t) * t + 100 * t**2
        assert hypot((a[0] + b[0]) / 2 - x, (a[1] + b[1]) / 2 - y) <= 0.05


def test_an_arc_of_no_bend_is_one_piece():
    assert arc_pieces(0.001, 1, 1) == 1
