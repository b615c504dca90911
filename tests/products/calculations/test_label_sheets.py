"""Sheets read back from the PDF by pdfplumber: places, sizes, texts.

The tolerance of 0.1 mm is what a cutter of label sheets is trusted with (common practice).
"""

import subprocess
import sys
from functools import cache
from io import BytesIO
from itertools import combinations

import pdfplumber
import pytest

from products.calculations.label_geometry import SAMPLE_GRIDS, Calibration, GridError
from products.calculations.label_sheets import calibration_pdf, sheet_pdf
from tests.factories.labels import KINDS, LONGEST, LONGEST_AT_H, LOT, PART, SHEET

MM = 72 / 25.4
A4 = SAMPLE_GRIDS[0]
SHEETS = SAMPLE_GRIDS[:3]
CORRECTED = Calibration(1.5, -0.8, 1.01, 0.995)
near = lambda value: pytest.approx(value, abs=0.1)  # noqa: E731
sheets = pytest.mark.parametrize("grid", SHEETS, ids=lambda grid: grid.name)
grids = pytest.mark.parametrize("grid", SAMPLE_GRIDS, ids=lambda grid: grid.name)


def pages(written):
    return pdfplumber.open(BytesIO(written)).pages


@cache
def first_page(label, grid, **kwargs):
    return pages(sheet_pdf([label], grid, **kwargs))[0]


def squares(page):
    """Left, top and side of the quiet zones (mm): the white squares."""
    found = [r for r in page.rects if r["fill"] and r["non_stroking_color"] in ((1,), (1.0,), 1)]
    return [(r["x0"] / MM, r["top"] / MM, r["width"] / MM) for r in found]


def crosses(page):
    """Middles of the crosses (mm): of their level lines, which are 5 mm long."""
    ends = [(line["x0"], line["x1"], line["top"], line["bottom"]) for line in page.lines]
    across = [e for e in ends if abs((e[1] - e[0]) / MM - 5) < 0.2]
    return [((x0 + x1) / 2 / MM, (top + bottom) / 2 / MM) for x0, x1, top, bottom in across]


@grids
def test_a_page_has_the_size_of_the_sheet(grid):
    page = first_page(PART, grid)
    assert (page.width / MM, page.height / MM) == (
        near(grid.page_width_mm),
        near(grid.page_height_mm),
    )


@sheets
def test_the_last_label_lies_where_the_grid_says(grid):
    (first,), (last,) = (
        squares(first_page(PART, grid, start=start)) for start in (1, grid.capacity)
    )
    assert last[0] - first[0] == near((grid.columns - 1) * (grid.label_width_mm + grid.gap_x_mm))
    assert last[1] - first[1] == near((grid.rows - 1) * (grid.label_height_mm + grid.gap_y_mm))


@sheets
def test_the_square_code_keeps_its_distance_to_the_edge_of_the_label(grid):
    """0.6 mm at the left is the distance that the design sets."""
    ((left, _top, _side),) = squares(first_page(PART, grid))
    assert left == near(grid.margin_left_mm + 0.6)


@sheets
def test_a_cross_stands_on_the_corners_of_the_outer_labels(grid):
    page = pages(calibration_pdf(grid, []))[0]
    found = crosses(page)
    right, bottom = 210 - grid.margin_left_mm, 297 - grid.margin_top_mm
    for corner in (
        (grid.margin_left_mm, grid.margin_top_mm),
        (right, grid.margin_top_mm),
        (grid.margin_left_mm, bottom),
        (right, bottom),
        (grid.margin_left_mm + grid.label_width_mm, grid.margin_top_mm + grid.label_height_mm),
    ):
        assert (near(corner[0]), near(corner[1])) in found


def test_the_rulers_of_a_sheet_are_100_mm_long():
    lines = pages(calibration_pdf(A4, []))[0].lines
    assert max(line["width"] for line in lines) / MM == near(100)
    assert max(line["height"] for line in lines) / MM == near(100)


def test_the_instructions_stand_between_the_rulers():
    text = pages(calibration_pdf(A4, ["Zmierz obie linijki.", "Measure again."]))[0].extract_text()
    assert A4.name in text
    assert "Zmierz obie linijki." in text


def test_a_calibration_moves_and_stretches_the_calibration_page():
    page = pages(calibration_pdf(A4, [], calibration=CORRECTED))[0]
    assert (near(7.25 * 1.01 + 1.5), near(12.9 * 0.995 - 0.8)) in crosses(page)
    assert max(line["width"] for line in page.lines) / MM == near(101)
    assert max(line["height"] for line in page.lines) / MM == near(99.5)


def test_a_calibration_moves_and_stretches_the_labels():
    ((left, top, side),) = squares(first_page(PART, A4, start=24))
    ((to_left, to_top, to_side),) = squares(first_page(PART, A4, start=24, calibration=CORRECTED))
    assert (to_left, to_top) == (near(left * 1.01 + 1.5), near(top * 0.995 - 0.8))
    assert to_side == near(side * 1.01)


@grids
@pytest.mark.parametrize("label", [LONGEST, LONGEST_AT_H], ids=["Q", "H"])
def test_the_longest_text_stays_inside_its_label(label, grid):
    page = first_page(label, grid)
    left, top = grid.margin_left_mm * MM, grid.margin_top_mm * MM
    right, bottom = left + grid.label_width_mm * MM, top + grid.label_height_mm * MM
    out = [c for c in page.chars if c["x0"] < left or c["x1"] > right]
    out += [c for c in page.chars if c["top"] < top or c["bottom"] > bottom]
    assert [c["text"] for c in out] == []
    assert len(page.chars) > 20


@grids
def test_no_two_words_of_the_longest_text_overlap(grid):
    words = first_page(LONGEST, grid).extract_words()
    assert [pair for pair in combinations(words, 2) if overlap(*pair)] == []


@pytest.mark.parametrize("grid", [SAMPLE_GRIDS[1], SAMPLE_GRIDS[3]], ids=["sheet", "roll"])
@pytest.mark.parametrize("kind", KINDS)
def test_no_two_words_overlap(kind, grid):
    words = first_page(KINDS[kind], grid).extract_words()
    assert [pair for pair in combinations(words, 2) if overlap(*pair)] == []


@grids
def test_no_word_stands_on_the_square_code_or_its_quiet_zone(grid):
    page = first_page(LONGEST, grid)
    ((left, top, side),) = squares(page)
    zone = {"x0": left * MM, "top": top * MM, "x1": (left + side) * MM, "bottom": (top + side) * MM}
    assert [word["text"] for word in page.extract_words() if overlap(word, zone)] == []


def overlap(one, other, slack=0.05):
    across = min(one["x1"], other["x1"]) - max(one["x0"], other["x0"])
    down = min(one["bottom"], other["bottom"]) - max(one["top"], other["top"])
    return across > slack and down > slack


@pytest.mark.parametrize("label", [SHEET, LOT], ids=lambda label: label.kind)
def test_polish_greek_and_cyrillic_are_read_back(label):
    words = {word["text"] for word in first_page(label, SAMPLE_GRIDS[1]).extract_words()}
    assert {*label.title.split(), label.kind, label.colour_name} <= words


def test_every_face_is_embedded():
    names = {c["fontname"] for c in first_page(PART, A4).chars}
    assert all("+" in name for name in names)
    assert len(names) == 3


def test_labels_run_on_over_pages_and_say_their_codes():
    written = pages(sheet_pdf([*KINDS.values()], SAMPLE_GRIDS[3]))
    codes = ["".join(page.extract_text().split("\n")[-1].split()) for page in written]
    assert codes == [label.code for label in KINDS.values()]


def test_a_full_sheet_has_no_empty_page_after_it():
    assert len(pages(sheet_pdf([PART] * 8, SAMPLE_GRIDS[1]))) == 1


def test_refuses_a_start_that_the_sheet_does_not_have():
    with pytest.raises(GridError) as refusal:
        sheet_pdf([PART], A4, start=25)
    assert refusal.value.code == "start"


def test_a_sheet_is_named():
    written = pdfplumber.open(BytesIO(sheet_pdf([PART], A4, title="Skrzynki, marzec")))
    assert written.metadata["Title"] == "Skrzynki, marzec"


def test_the_same_labels_give_the_same_bytes():
    labels = [*KINDS.values(), LONGEST]
    assert sheet_pdf(labels, A4, start=3) == sheet_pdf(labels, A4, start=3)


def test_another_process_gives_the_same_bytes():
    program = (
        "import sys; from tests.factories.labels import KINDS, LONGEST;"
        "from products.calculations.label_geometry import SAMPLE_GRIDS;"
        "from products.calculations.label_sheets import sheet_pdf;"
        "sys.stdout.buffer.write(sheet_pdf([LONGEST, *KINDS.values()], SAMPLE_GRIDS[0]))"
    )
    done = subprocess.run([sys.executable, "-c", program], capture_output=True, check=True)
    assert done.stdout == sheet_pdf([LONGEST, *KINDS.values()], A4)
