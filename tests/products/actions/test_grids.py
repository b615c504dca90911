"""Saving, calibrating, deleting and loading grids of labels."""

from dataclasses import asdict, replace
from pathlib import Path

import pytest

from products.actions.grids import calibrate_grid, checked_grid, delete_grid, load_grids, save_grid
from products.calculations.label_geometry import SAMPLE_GRIDS, Calibration, roll
from products.models import LabelGrid
from tests.factories.book import refused
from tests.factories.grids import GridFactory
from tests.factories.inventory import make_act

pytestmark = pytest.mark.django_db
SHEET = SAMPLE_GRIDS[0]
FIXTURE = Path(__file__).parents[3] / "fixtures" / "label_grids.json"


def test_a_grid_keeps_its_geometry(lead):
    assert save_grid(geometry=SHEET, act=make_act(lead)).geometry == SHEET
    assert LabelGrid.objects.get().geometry == SHEET


def test_a_changed_grid_keeps_its_calibration(lead):
    grid = GridFactory(offset_x_mm=1.5)
    save_grid(geometry=replace(SHEET, rows=7), act=make_act(lead), grid=grid)
    grid.refresh_from_db()
    assert (grid.rows, grid.calibration.offset_x_mm) == (7, 1.5)


def test_a_name_is_given_once(lead):
    GridFactory(name=SHEET.name.upper())
    with refused("name-taken"):
        save_grid(geometry=SHEET, act=make_act(lead))


def test_labels_too_small_for_a_code_are_refused(lead):
    with refused("label-small"):
        save_grid(geometry=roll("tape", 60, 12), act=make_act(lead))


@pytest.mark.parametrize(
    ("code", "figure"),
    [
        ("grid-name", {"name": " "}),
        ("grid-figure", {"gap_x_mm": -1}),
        ("grid-count", {"rows": 0}),
        ("grid-page", {"columns": 4}),
    ],
)
def test_what_is_no_grid_is_refused(code, figure):
    with refused(code):
        checked_grid(asdict(SHEET) | figure)


def test_a_repeat_saves_one_grid(lead):
    act = make_act(lead)
    assert save_grid(geometry=SHEET, act=act) == save_grid(geometry=SHEET, act=act)
    assert LabelGrid.objects.count() == 1


def test_a_calibration_is_kept_to_the_hundredth(lead):
    wanted = Calibration(1.256, -0.8, 1.0100049, 0.995)
    grid = calibrate_grid(grid=GridFactory(), calibration=wanted, act=make_act(lead))
    grid.refresh_from_db()
    assert grid.calibration == Calibration(1.26, -0.8, 1.0100, 0.995)


def test_a_repeated_calibration_changes_nothing(lead):
    grid, act = GridFactory(), make_act(lead)
    first = calibrate_grid(grid=grid, calibration=Calibration(1), act=act)
    assert calibrate_grid(grid=grid, calibration=Calibration(1), act=act) == first


def test_a_grid_is_deleted_once(lead):
    grid, act = GridFactory(), make_act(lead)
    delete_grid(grid=grid, act=act)
    delete_grid(grid=grid, act=act)
    assert not LabelGrid.objects.exists()


def test_the_sample_grids_are_those_that_were_measured_in_tests():
    assert load_grids(FIXTURE) == len(SAMPLE_GRIDS)
    assert {grid.geometry for grid in LabelGrid.objects.all()} == set(SAMPLE_GRIDS)


def test_loading_again_leaves_a_changed_grid_alone():
    GridFactory(name=SHEET.name, rows=7)
    load_grids(FIXTURE)
    assert LabelGrid.objects.get(name=SHEET.name).rows == 7
