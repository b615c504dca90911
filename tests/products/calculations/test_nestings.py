"""Nested plans: what is wrong with one, its masses and its offcut, on plans made by hand."""

from fractions import Fraction

import pytest
from shapely.geometry import box
from shapely.ops import unary_union

from products.calculations.cut_plans import Box, CutPlanError, Stock
from products.calculations.nestings import (
    MOST_SHAPES,
    Nested,
    Shape,
    check_nesting,
    faults_of,
    kept_of,
    kerf_area_um2,
    nested_figures,
)
from products.calculations.outlines import rectangle
from tests.factories.nestings import HOOK, by_hand, found, question

GOOD = ((10, 10), (113, 10), (10, 113))


def test_parts_a_kerf_apart_and_clear_of_the_margin_have_no_fault():
    assert faults_of(by_hand(*GOOD)) == []


@pytest.mark.parametrize(
    ("places", "fault"),
    [
        (((10, 10), (112.9, 10)), "overlap"),
        (((10, 10), (60, 60)), "overlap"),
        (((10, 10), (10, 10)), "overlap"),
        (((9.9, 10),), "outside"),
        (((490.1, 10),), "outside"),
        (((10, 290.1),), "outside"),
        (((700, 10),), "outside"),
    ],
)
def test_parts_too_close_or_in_the_margin_are_faults(places, fault):
    assert fault in faults_of(by_hand(*places))


def test_parts_on_each_other_are_a_fault_without_a_kerf_too():
    asked = question(Shape("square", rectangle(100_000, 100_000), 2), kerf_um=0)
    assert faults_of(by_hand((10, 10), (110, 10), asked=asked)) == []
    assert faults_of(by_hand((10, 10), (109, 10), asked=asked)) == ["overlap"]


def test_a_turn_that_was_not_allowed_is_a_fault():
    hooks = question(Shape("hook", HOOK, 1, "half"))
    assert faults_of(by_hand((300, 300), angle=180, asked=hooks)) == []
    assert faults_of(by_hand((300, 100), angle=90, asked=hooks)) == ["shape"]


def test_another_outline_than_was_asked_or_another_count_is_a_fault():
    plan = by_hand((10, 10))
    other = by_hand((10, 10), asked=question(Shape("board", rectangle(100_000, 90_000))))
    assert "shape" in faults_of(Nested(plan.question, other.sheets, ()))
    assert faults_of(Nested(plan.question, plan.sheets, ((0, 1),))) == ["count"]
    assert faults_of(Nested(plan.question, (), ())) == ["count"]


def test_a_kerf_that_two_parts_share_is_counted_once():
    """Around a square of 100 mm a kerf of 3 mm takes 4 * 100 * 3 + 4 * 3 * 3 mm2, corners square."""
    alone, pair = by_hand((400, 100)), by_hand((297, 100), (400, 100))
    ring_mm2 = 4 * 100 * 3 + 4 * 9
    assert kerf_area_um2(alone.sheets[0], alone.question) == pytest.approx(ring_mm2 * 1e6)
    both_mm2 = 2 * ring_mm2 - 106 * 3
    assert kerf_area_um2(pair.sheets[0], pair.question) == pytest.approx(both_mm2 * 1e6)


def test_the_cut_that_frees_an_offcut_makes_dust_too():
    plan = by_hand((10, 100))
    ring_mm2 = 4 * 100 * 3 + 4 * 9
    cut_mm2 = (380 - 106) * 3  # the rest of its way lies in the kerf of the part
    assert kerf_area_um2(plan.sheets[0], plan.question) == pytest.approx((ring_mm2 + cut_mm2) * 1e6)


def test_the_offcut_is_what_one_straight_cut_leaves_right_of_all_parts():
    plan = by_hand(*GOOD)
    assert kept_of(plan.sheets[0], plan.question) == Box(216_000, 10_000, 374_000, 380_000)
    assert kept_of(by_hand((400, 10)).sheets[0], plan.question) is None  # 87 mm are too narrow


def test_masses_sum_up_and_are_those_of_a_sheet_of_that_density():
    """m = rho A t: 600 x 400 x 10 mm of 0.955 g/cm3 weigh 2292 g; three squares of 100 mm 286.5 g."""
    figures = nested_figures(by_hand(*GOOD), 10_000, "0.955")
    assert (figures.sheets_mg, figures.parts_mg) == (2_292_000, 286_500)
    assert figures.kept_mg == round(37.4 * 38 * 0.955 * 1000)
    rest = figures.parts_mg + figures.kept_mg + figures.scrap_mg + figures.dust_mg
    assert rest == figures.sheets_mg
    assert figures.yielded == Fraction(3 * 100 * 100, 600 * 400)


def test_a_found_plan_is_right_by_shapely_alone():
    """Checked anew from the points only: no overlap, inside the margin, the kerf kept to 0.05 mm."""
    for sheet in found().sheets:
        shapes = [each.outline.polygon for each in sheet.placed]
        inside = box(10_000, 10_000, 590_000, 390_000).buffer(50, join_style="mitre")
        assert all(shape.is_valid and shape.within(inside) for shape in shapes)
        pairs = [(a, b) for at, a in enumerate(shapes) for b in shapes[at + 1 :]]
        assert all(a.distance(b) >= 3_000 - 50 for a, b in pairs)
        area = sum(each.outline.area_um2 for each in sheet.placed)
        assert unary_union(shapes).area == pytest.approx(area, abs=len(shapes))


def test_the_yield_of_a_found_plan_is_below_the_bound_by_area():
    figures = nested_figures(found(), 10_000, 1)
    room_mm2, sheet_mm2 = 580 * 380, 600 * 400
    assert 0 < figures.yielded <= Fraction(room_mm2, sheet_mm2)
    assert figures.sheets_mg >= figures.parts_mg + figures.dust_mg


@pytest.mark.parametrize(
    ("asked", "code"),
    [
        (question(), "no-parts"),
        (question(Shape("a", HOOK), stock=()), "no-sheet"),
        (question(Shape("a", HOOK, MOST_SHAPES + 1)), "too-many-shapes"),
        (question(Shape("a", HOOK), stock=(Stock(30_000, 30_000, 101),)), "too-many-sheets"),
        (question(Shape("a", HOOK), stock=(Stock(20_000, 9_000),)), "margin-too-wide"),
    ],
)
def test_a_question_too_large_or_empty_is_refused(asked, code):
    with pytest.raises(CutPlanError) as refusal:
        check_nesting(asked)
    assert refusal.value.code == code
