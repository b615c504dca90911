"""Outlines: exact in um, their area against shapely, and what is refused."""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from shapely.geometry import Polygon

from products.calculations.outlines import (
    MOST_OUTLINES,
    MOST_POINTS,
    Outline,
    OutlineError,
    joined,
    outline_mm,
    outlines_mm,
    rectangle,
)

SQUARE = [(0, 0), (10, 0), (10, 10), (0, 10)]
whole = st.integers(-5000, 5000)


@given(st.lists(st.tuples(whole, whole), min_size=3, max_size=9))
def test_the_shoelace_formula_agrees_with_shapely(points):
    assert (
        abs(Outline(tuple(points)).area_um2 - abs(Polygon(points).area)) <= 0.5
        or not Polygon(points).is_valid
    )


@given(st.floats(0, 360), whole, whole)
def test_turning_and_moving_keep_the_area(angle, dx, dy):
    found = rectangle(300_000, 200_000).placed(angle, dx, dy)
    assert found.polygon.area == pytest.approx(300_000 * 200_000, rel=1e-5)


def test_an_outline_lies_at_zero_and_runs_counterclockwise_whatever_way_it_was_drawn():
    there = outline_mm([(x + 7, y - 3) for x, y in SQUARE])
    back = outline_mm([(x + 7, y - 3) for x, y in reversed(SQUARE)])
    assert there.bounds == back.bounds == (0, 0, 10_000, 10_000)
    assert there.polygon.exterior.is_ccw
    assert back.polygon.exterior.is_ccw


@pytest.mark.parametrize(
    ("points", "code"),
    [
        ([(0, 0), (10, 0)], "outline-flat"),
        ([(0, 0), (10, 0), (5, 0)], "outline-flat"),
        ([(0, 0), (0.5, 0), (0.5, 10), (0, 10)], "outline-flat"),
        ([(0, 0), (10, 10), (10, 0), (0, 10)], "outline-crossing"),
        ([(0, 0), (10, 10), (10, 0), (0, 9)], "outline-crossing"),
        ([(0, 0), (10_001, 0), (0, 10)], "outline-size"),
        ([(0, 0), (float("nan"), 0), (0, 10)], "outline-size"),
        ([(0, 0), (float("inf"), 0), (0, 10)], "outline-size"),
        ([(0, 0), (1e300, 0), (0, 10)], "outline-size"),
        ([(x, x * x % 97) for x in range(MOST_POINTS + 1)], "outline-points"),
    ],
)
def test_what_is_no_outline_is_refused(points, code):
    with pytest.raises(OutlineError) as refusal:
        outline_mm(points)
    assert refusal.value.code == code


INNER = [(2, 2), (8, 2), (8, 8), (2, 8)]
BESIDE = [(20, 0), (30, 0), (30, 10), (20, 10)]


@pytest.mark.parametrize(
    ("lines", "code"),
    [
        ([], "file-no-outline"),
        ([SQUARE, INNER], "outline-hole"),
        ([SQUARE, [(5, 5), (15, 5), (15, 15)]], "outline-hole"),
        ([SQUARE] * 2, "outline-hole"),
        ([SQUARE] * (MOST_OUTLINES + 1), "file-many-outlines"),
    ],
)
def test_holes_and_too_many_outlines_are_refused(lines, code):
    with pytest.raises(OutlineError) as refusal:
        outlines_mm(lines)
    assert refusal.value.code == code


CURL = [(50.0006, 50.0002), (50.0009, 50.0008), (49.9997, 50.0007), (50.0004, 50.0006)]


def test_a_line_that_crosses_itself_by_less_than_rounding_is_held_against_others():
    """In floating point such a line is no polygon, and what two of these share cannot be told."""
    with pytest.raises(OutlineError) as refusal:
        outlines_mm(
            [
                [(0, 0), (100, 0), (100, 100), *CURL, (0, 100)],
                [(10, 10), (100, 10), (100, 200), (10, 200)],
            ]
        )
    assert refusal.value.code == "outline-hole"


def test_edges_that_only_rounding_lays_over_each_other_are_side_by_side():
    slanted = [(0, 0), (100, 33.3333), (0, 70)]
    below = [(0, 0), (50, 16.66665), (100, 33.3333), (100, 0)]
    assert len(outlines_mm([slanted, below])) == 2


def test_outlines_side_by_side_are_parts_of_their_own():
    assert len(outlines_mm([SQUARE, BESIDE])) == 2


def test_lines_whose_ends_meet_in_any_order_make_outlines():
    open_lines = [[(0, 0), (9, 0)], [(9.01, 0), (9, 9), (0, 9)], [(0, 0), (0, 9)]]
    (line,) = joined(open_lines)
    assert Polygon(line).area == pytest.approx(81, rel=1e-2)
    with pytest.raises(OutlineError) as refusal:
        joined(open_lines[:2])
    assert refusal.value.code == "outline-open"
