"""The picture of a sheet on the screen has the geometry of the sheet in print."""

import re
from xml.etree import ElementTree

import pytest

from products.calculations.label_geometry import SAMPLE_GRIDS, GridError, positions
from products.calculations.label_previews import sheet_svg
from tests.factories.labels import LONGEST, PART

A4 = SAMPLE_GRIDS[0]
grids = pytest.mark.parametrize("grid", SAMPLE_GRIDS, ids=lambda grid: grid.name)


def moves(drawn):
    found = re.findall(r'<g transform="translate\(([0-9.]+) ([0-9.]+)\)" fill', drawn)
    return [tuple(map(float, each)) for each in found]


@grids
def test_labels_lie_where_the_sheet_has_them(grid):
    places = [(place.x_mm, place.y_mm) for place in positions(grid, grid.capacity)]
    drawn = moves(sheet_svg([PART] * grid.capacity, grid))
    assert drawn == [pytest.approx(place, abs=0.001) for place in places]


@grids
def test_the_page_has_the_size_of_the_sheet(grid):
    root = ElementTree.fromstring(sheet_svg([LONGEST], grid))  # noqa: S314 (our own text)
    assert root.get("viewBox") == f"0 0 {grid.page_width_mm:g} {grid.page_height_mm:g}"


def test_one_page_is_shown_of_many():
    assert len(moves(sheet_svg([PART] * 100, A4, start=3))) == A4.capacity - 2


def test_used_labels_are_shown_as_used():
    assert sheet_svg([PART], A4, start=4).count('fill="#d9d7d0"') == 3


def test_a_start_beyond_the_sheet_is_refused():
    with pytest.raises(GridError) as error:
        sheet_svg([PART], A4, start=25)
    assert error.value.code == "start"
