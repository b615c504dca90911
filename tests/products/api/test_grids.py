"""Grids of labels over the API."""

import pytest

from products.models import LabelGrid
from tests.factories.api import client_of, repeated, send
from tests.factories.grids import GridFactory

pytestmark = pytest.mark.django_db
ROLL = {
    "name": "Roll",
    "page_width_mm": "57",
    "page_height_mm": 32,
    "label_width_mm": 57,
    "label_height_mm": 32,
}


@pytest.fixture
def desk(lead):
    return client_of(lead)


def test_grids_are_listed_with_their_calibration(api_client):
    GridFactory(name="A sheet", offset_x_mm="1.50")
    row = api_client.get("/api/label-grids/?search=sheet").json()["results"][0]
    assert (row["name"], row["offset_x_mm"], row["rows"]) == ("A sheet", "1.50", 8)


def test_the_lead_adds_a_grid(desk):
    first, second = repeated(desk, "label-grids/", **ROLL)
    assert (first.status_code, first.json()) == (201, second.json())
    assert LabelGrid.objects.get().geometry.page_height_mm == 32


def test_labels_beyond_the_page_are_refused(desk):
    answer = send(desk, "label-grids/", **ROLL, columns=2)
    assert (answer.status_code, answer.json()["code"]) == (422, "grid-page")
    assert not LabelGrid.objects.exists()


def test_a_calibration_is_worked_out(desk):
    grid = GridFactory()
    measured = {"across_mm": 100, "down_mm": 100, "left_mm": "8.25", "top_mm": "12.9"}
    address = f"label-grids/{grid.pk}/calibration/"
    first, second = repeated(desk, address, **measured)
    assert first.json() == second.json()
    assert (first.json()["offset_x_mm"], first.json()["scale_x"]) == ("-1.00", "1.00000")


def test_what_no_printer_explains_is_refused(desk):
    measured = {"across_mm": 50, "down_mm": 100, "left_mm": 7, "top_mm": 13}
    answer = send(desk, f"label-grids/{GridFactory().pk}/calibration/", **measured)
    assert (answer.status_code, answer.json()["code"]) == (422, "calibration")


def test_a_grid_is_deleted(desk):
    assert send(desk, f"label-grids/{GridFactory().pk}/delete/").status_code == 201
    assert not LabelGrid.objects.exists()


def test_an_operator_adds_none(api_client):
    assert send(api_client, "label-grids/", **ROLL).status_code == 403
