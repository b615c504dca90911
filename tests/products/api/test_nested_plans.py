"""Nested plans over the API."""

import pytest
from shapely.geometry import Polygon

from products.models import NestedPlan
from tests.factories.api import send

pytestmark = pytest.mark.django_db
PLACE = "/api/nested-plans/"
SVG = '<svg width="100mm" viewBox="0 0 100 100"><path d="M0 0h90v40l-50 40z"/></svg>'
LEAF = {"name": "leaf", "format": "svg", "text": SVG, "count": 3, "turn": "quarter"}
ASKED = {
    "length_mm": 600,
    "width_mm": 400,
    "thickness_mm": 10,
    "density_g_cm3": 0.955,
    "count": 1,
    "kerf_mm": 3,
    "seconds": 1,
    "shapes": [LEAF, {"name": "board", "length_mm": 200, "width_mm": 60}],
}


def ask(client, **changes):
    return send(client, "nested-plans/", **(ASKED | changes))


def test_a_plan_is_kept_with_its_outlines_apart_and_read_again(api_client):
    answer = ask(api_client)
    assert answer.status_code == 201
    told = answer.json()
    (sheet,) = told["sheets"]
    shapes = [Polygon(each["points_mm"]) for each in sheet["placed"]]
    pairs = [(a, b) for at, a in enumerate(shapes) for b in shapes[at + 1 :]]
    assert len(shapes) == 4
    assert all(a.distance(b) >= 3 - 0.05 for a, b in pairs)
    rest = told["parts_mg"] + told["kept_mg"] + told["scrap_mg"] + told["dust_mg"]
    assert rest == told["sheets_mg"] == 2_292_000  # 60 * 40 * 1 cm3 * 0.955 g/cm3
    again = api_client.get(f"{PLACE}{told['id']}/").json()
    assert again == {name: value for name, value in told.items() if name != "change"}
    (listed,) = api_client.get(PLACE).json()["results"]
    assert listed["number"] == told["number"]


def test_a_repeat_is_answered_as_the_first_time(api_client):
    uuid = "6ff0a7e2-3c0e-4f4e-9d2f-6f0c8b1f1a01"
    first = ask(api_client, uuid=uuid).json()
    assert ask(api_client, uuid=uuid).json() == first
    assert NestedPlan.objects.count() == 1


@pytest.mark.parametrize(
    ("wrong", "status", "at"),
    [
        ({"shapes": [LEAF | {"text": "nonsense"}]}, 400, "shapes.0.file"),
        ({"shapes": [LEAF | {"text": SVG.replace('width="100mm"', "")}]}, 400, "shapes.0.unit"),
        ({"shapes": [{"text": SVG}]}, 400, "shapes.0.file"),
        ({"shapes": [{"format": "dxf"}]}, 400, "shapes.0.file"),
        ({"shapes": [{"name": "x", "length_mm": 5}]}, 400, "shapes.0.width_mm"),
        ({"length_mm": None}, 400, "length_mm"),
        ({"shapes": []}, 422, None),
        ({"shapes": [LEAF | {"count": 100}] * 2}, 422, None),
        ({"margin_mm": 200}, 422, None),
    ],
)
def test_what_cannot_be_nested_is_refused_at_its_place(api_client, wrong, status, at):
    answer = ask(api_client, **wrong)
    assert answer.status_code == status
    assert (at is None) or at in answer.json()["fields"]
    assert not NestedPlan.objects.exists()


def test_a_plan_that_is_not_there_is_404(api_client):
    assert api_client.get(f"{PLACE}9/").status_code == 404
