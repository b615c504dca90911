"""Pages of grids and of the calibration of a printer."""

from io import BytesIO

import pdfplumber
import pytest
from django.urls import reverse

from products.models import LabelGrid
from tests.factories.grids import GridFactory

pytestmark = pytest.mark.django_db
LIST, CREATE = reverse("products:grid-list"), reverse("products:grid-create")
ROLL = {
    "name": "Roll, 57 x 32 mm",
    "page_width_mm": "57",
    "page_height_mm": "32",
    "columns": "1",
    "rows": "1",
    "label_width_mm": "57",
    "label_height_mm": "32",
    "margin_left_mm": "0",
    "margin_top_mm": "0",
    "gap_x_mm": "0",
    "gap_y_mm": "0",
}


@pytest.fixture
def grid():
    return GridFactory()


def url(grid, name):
    return reverse(f"products:grid-{name}", args=[grid.pk])


def test_the_lead_adds_a_grid(desk, key):
    assert desk.post(CREATE, ROLL | {"key": key}).url == LIST
    assert LabelGrid.objects.get().geometry.label_width_mm == 57


def test_labels_beyond_the_page_are_refused(desk, key):
    answer = desk.post(CREATE, ROLL | {"key": key, "columns": "2"})
    assert answer.status_code == 422
    assert answer.context["form"].has_error("__all__", "grid-page")
    assert not LabelGrid.objects.exists()


def test_a_name_that_is_taken_is_refused(desk, key, grid):
    answer = desk.post(CREATE, ROLL | {"key": key, "name": grid.name})
    assert answer.context["form"].has_error("__all__", "name-taken")


def test_the_lead_changes_a_grid(desk, key, grid):
    assert grid.name in desk.get(url(grid, "edit")).content.decode()
    desk.post(url(grid, "edit"), ROLL | {"key": key})
    grid.refresh_from_db()
    assert grid.columns == 1


def test_the_lead_deletes_a_grid(desk, key, grid):
    assert desk.get(url(grid, "delete")).status_code == 200
    desk.post(url(grid, "delete"), {"key": key})
    assert not LabelGrid.objects.exists()


def test_what_was_measured_is_kept(desk, key, grid):
    """A printer that puts everything 1 mm too far right and prints 1 % too long downwards."""
    measured = {"across_mm": "100", "down_mm": "101", "left_mm": "8.25", "top_mm": "13.03"}
    desk.post(url(grid, "calibrate"), measured | {"key": key})
    grid.refresh_from_db()
    assert float(grid.offset_x_mm) == -1
    assert float(grid.scale_y) == pytest.approx(1 / 1.01, abs=1e-5)


def test_what_no_printer_explains_is_refused(desk, key, grid):
    measured = {"across_mm": "50", "down_mm": "100", "left_mm": "7.25", "top_mm": "12.9"}
    answer = desk.post(url(grid, "calibrate"), measured | {"key": key})
    assert answer.status_code == 422
    assert answer.context["form"].has_error("__all__", "calibration")


def crosses(answer):
    lines = pdfplumber.open(BytesIO(answer.content)).pages[0].lines
    return min(line["x0"] for line in lines) / 72 * 25.4


def test_the_page_to_measure_is_not_calibrated_and_the_one_to_check_is(desk):
    grid = GridFactory(offset_x_mm=2)
    measure, check = (desk.get(url(grid, "calibration"), query) for query in ({}, {"check": "1"}))
    assert measure["Content-Type"] == "application/pdf"
    assert crosses(check) - crosses(measure) == pytest.approx(2, abs=0.1)


@pytest.mark.parametrize("who", ["floor", "reader"])
@pytest.mark.parametrize("name", ["edit", "delete", "calibrate"])
def test_only_the_lead_changes_grids(request, who, name, grid):
    assert request.getfixturevalue(who).get(url(grid, name)).status_code == 403


def test_everybody_reads_the_grids(reader, grid):
    page = reader.get(LIST).content.decode()
    assert grid.name in page
    assert url(grid, "edit") not in page
