"""Sheets in millimetres. A4 is 210 x 297 mm (ISO 216)."""

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from products.calculations.label_geometry import (
    SAMPLE_GRIDS,
    Calibration,
    Grid,
    GridError,
    calibration_from_measurement,
    pages,
    positions,
    roll,
    ruler_lengths_mm,
)

SHEET = Grid("A4, 3 x 8", 210, 297, 3, 8, 7.25, 12.9, 2.5, 0, 63.5, 33.9)
ROLL = roll("Roll", 57, 32)


def places(*args, **kwargs):
    return [(p.page, p.x_mm, p.y_mm) for p in positions(*args, **kwargs)]


def test_labels_run_along_the_row_and_then_down():
    assert places(SHEET, 4) == [
        (0, 7.25, pytest.approx(12.9)),
        (0, 73.25, pytest.approx(12.9)),
        (0, 139.25, pytest.approx(12.9)),
        (0, 7.25, pytest.approx(46.8)),
    ]


def test_a_part_used_sheet_starts_at_its_first_free_label():
    assert places(SHEET, 1, start=5) == [(0, 73.25, pytest.approx(46.8))]


def test_a_full_sheet_goes_on_at_the_top_of_the_next():
    assert places(SHEET, 3, start=23)[1:] == [
        (0, 139.25, pytest.approx(250.2)),
        (1, 7.25, pytest.approx(12.9)),
    ]


def test_a_roll_prints_one_label_a_page():
    assert places(ROLL, 2) == [(0, 0, 0), (1, 0, 0)]


@pytest.mark.parametrize(("count", "start", "expected"), [(0, 1, 0), (24, 1, 1), (24, 2, 2)])
def test_counts_the_pages_that_labels_take(count, start, expected):
    assert pages(SHEET, count, start) == expected


@pytest.mark.parametrize("start", [0, 25, -1])
def test_refuses_a_start_that_the_sheet_does_not_have(start):
    with pytest.raises(GridError) as refusal:
        positions(SHEET, 1, start)
    assert refusal.value.code == "start"


@pytest.mark.parametrize(
    ("change", "code", "part"),
    [
        ({"name": " "}, "grid-name", "name"),
        ({"columns": 0}, "grid-count", "columns"),
        ({"rows": 51}, "grid-count", "rows"),
        ({"columns": 1.5}, "grid-count", "columns"),
        ({"label_width_mm": 0}, "grid-figure", "label_width_mm"),
        ({"page_height_mm": float("nan")}, "grid-figure", "page_height_mm"),
        ({"gap_x_mm": -1}, "grid-figure", "gap_x_mm"),
        ({"label_width_mm": 66}, "grid-page", "width"),
        ({"margin_top_mm": 26}, "grid-page", "height"),
    ],
)
def test_refuses_a_grid_that_no_sheet_can_have(change, code, part):
    with pytest.raises(GridError) as refusal:
        replace(SHEET, **change)
    assert (refusal.value.code, refusal.value.part) == (code, part)


@pytest.mark.parametrize("grid", SAMPLE_GRIDS, ids=lambda grid: grid.name)
def test_sample_sheets_lie_in_the_middle_of_their_page(grid):
    assert grid.right_mm + grid.margin_left_mm == pytest.approx(grid.page_width_mm)
    assert grid.bottom_mm + grid.margin_top_mm == pytest.approx(grid.page_height_mm)


def test_sample_grids_are_told_apart_by_their_names():
    assert len({grid.name for grid in SAMPLE_GRIDS}) == len(SAMPLE_GRIDS) >= 5


def test_a_calibration_scales_a_place_and_then_moves_it():
    calibration = Calibration(1, -2, 1.01, 0.99)
    assert places(SHEET, 1, calibration=calibration) == [
        (0, pytest.approx(7.25 * 1.01 + 1), pytest.approx(12.9 * 0.99 - 2))
    ]


@pytest.mark.parametrize(
    "figures", [{"offset_x_mm": 20.1}, {"scale_y": 0.89}, {"scale_x": float("nan")}]
)
def test_refuses_a_calibration_that_mends_no_printer(figures):
    with pytest.raises(GridError) as refusal:
        Calibration(**figures)
    assert (refusal.value.code, refusal.value.part) == ("calibration", *figures)


@pytest.mark.parametrize(("grid", "lengths"), [(SHEET, (100, 100)), (ROLL, (50, 20))])
def test_rulers_are_as_long_as_the_page_allows(grid, lengths):
    assert ruler_lengths_mm(grid) == lengths


@given(st.floats(0.95, 1.05), st.floats(0.95, 1.05), st.floats(-5, 5), st.floats(-5, 5))
def test_a_measured_printer_prints_true_once_calibrated(stretch_x, stretch_y, shift_x, shift_y):
    measured = calibration_from_measurement(
        SHEET,
        across_mm=100 * stretch_x,
        down_mm=100 * stretch_y,
        left_mm=stretch_x * SHEET.margin_left_mm + shift_x,
        top_mm=stretch_y * SHEET.margin_top_mm + shift_y,
    )
    x_mm, y_mm = measured.place(200, 280)
    assert stretch_x * x_mm + shift_x == pytest.approx(200, abs=0.001)
    assert stretch_y * y_mm + shift_y == pytest.approx(280, abs=0.001)


@pytest.mark.parametrize("across_mm", [0, -100, 80, float("inf")])
def test_refuses_a_ruler_that_no_printer_explains(across_mm):
    with pytest.raises(GridError) as refusal:
        calibration_from_measurement(
            SHEET, across_mm=across_mm, down_mm=100, left_mm=7.25, top_mm=12.9
        )
    assert (refusal.value.code, refusal.value.part) == ("calibration", "scale_x")
