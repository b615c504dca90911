"""Cut plans over the API."""

import json
from io import StringIO
from xml.etree import ElementTree

import ezdxf
import pytest
from shapely import box

from tests.factories.inventory import KG, make_full_bin
from tests.factories.workshop import DesignFactory, make_part

pytestmark = pytest.mark.django_db
PLACE = "/api/cut-plans/"
ASKED = {
    "length_mm": 2000,
    "width_mm": 1000,
    "thickness_mm": 10,
    "density_g_cm3": 0.955,
    "parts": [
        {"name": "side", "length_mm": 600, "width_mm": 300, "count": 4},
        {"name": "shelf", "length_mm": 250, "width_mm": 450, "may_turn": True},
    ],
}


def ask(client, **changes):
    return client.post(PLACE, ASKED | changes, format="json")


def test_a_plan_has_its_parts_apart_and_its_masses_sum_up(api_client):
    told = ask(api_client).json()
    (sheet,) = told["sheets"]
    shapes = [
        box(b["x_mm"], b["y_mm"], b["x_mm"] + b["length_mm"], b["y_mm"] + b["width_mm"])
        for b in (each["box"] for each in sheet["placed"])
    ]
    pairs = [(a, b) for at, a in enumerate(shapes) for b in shapes[at + 1 :]]
    assert len(shapes) == 5
    assert all(a.distance(b) >= 3.2 - 1e-9 for a, b in pairs)
    assert told["sheets_mg"] == 19_100_000  # 200 * 100 * 1 cm3 * 0.955 g/cm3
    rest = told["parts_mg"] + told["kept_mg"] + told["scrap_mg"] + told["dust_mg"]
    assert rest == told["sheets_mg"]
    assert told["missing"] == []


def test_the_drawings_of_a_sheet_open_elsewhere(api_client):
    sheet = ask(api_client).json()["sheets"][0]
    document = ezdxf.read(StringIO(sheet["dxf"]))
    assert len(document.modelspace().query('POLYLINE[layer=="PARTS"]')) == 5
    assert sheet["svg"].startswith("<svg")


@pytest.mark.parametrize(
    ("changes", "field"),
    [
        ({"length_mm": 0}, "length_mm"),
        ({"length_mm": "wide"}, "length_mm"),
        ({"density_g_cm3": None}, "density_g_cm3"),
        ({"polymer": "NONE"}, "polymer"),
        ({"parts": [{"length_mm": 10, "width_mm": 99999}]}, "parts.0.width_mm"),
        ({"parts": [{"length_mm": 10, "width_mm": 10}] * 41}, "parts"),
        ({"kerf": 3}, "kerf"),
    ],
)
def test_what_cannot_be_planned_is_refused_at_its_field(api_client, changes, field):
    answer = ask(api_client, **changes)
    assert answer.status_code == 400
    assert field in answer.json()["fields"]


@pytest.mark.parametrize(
    ("changes", "code"),
    [
        ({"parts": []}, "no-parts"),
        ({"margin_mm": 500}, "margin-too-wide"),
        ({"parts": [{"length_mm": 10, "width_mm": 10, "count": 200}] * 2}, "too-many-parts"),
        (
            {"pieces": [{"length_mm": 500, "width_mm": 500, "count": 100}]},
            "too-many-sheets",
        ),
    ],
)
def test_a_question_that_is_too_large_or_empty_is_refused_by_its_code(api_client, changes, code):
    answer = ask(api_client, **changes)
    assert (answer.status_code, answer.json()["code"]) == (422, code)


def test_what_finds_no_place_is_told(api_client):
    told = ask(api_client, parts=[{"name": "long", "length_mm": 3000, "width_mm": 10}]).json()
    assert (told["missing"], told["sheets"]) == ([{"part": "long", "count": 1}], [])


def test_a_strange_name_makes_no_drawing_that_cannot_be_read(api_client):
    strange = ["\ufffe", "\x0b", "\x7f", "&<>\"'", "\u202e"]
    parts = [{"name": f"x{name}", "length_mm": 200, "width_mm": 100} for name in strange]
    (sheet,) = ask(api_client, parts=parts).json()["sheets"]
    assert len(sheet["placed"]) == len(strange)
    ElementTree.fromstring(sheet["svg"])  # noqa: S314 (our own text)


def test_half_a_sign_as_a_name_is_no_fault_of_ours(api_client):
    parts = '[{"name": "\\ud800", "length_mm": 600, "width_mm": 300}]'
    body = json.dumps(ASKED | {"parts": None}).replace("null", parts)
    answer = api_client.post(PLACE, body, content_type="application/json")
    assert answer.status_code < 500


def test_sheets_may_come_from_stock(api_client, client, operator):
    lot = make_full_bin(operator, net_mg=90 * KG, bin_fields={"capacity_mg": 100 * KG})[1]
    design = DesignFactory(thickness_mm=10, length_um=2_000_000, width_um=1_000_000)
    part = make_part(operator, lot, 19 * KG, design)
    stock = {"from_stock": True, "polymer": lot.polymer.symbol, "length_mm": None, "width_mm": None}
    plan = ask(api_client, **stock).json()
    (sheet,) = plan["sheets"]
    client.force_login(operator)
    page = client.get(plan["address"])  # the page of the same plan
    assert (page.status_code, page.context["taken"]) == (200, part.code)
    assert (sheet["code"], sheet["size"]["length_mm"]) == (part.code, 2000)
    none = ask(api_client, **stock, colour="no such")
    assert (none.status_code, list(none.json()["fields"])) == (400, ["from_stock"])
    assert ask(api_client, length_mm=None).json()["fields"].keys() == {"length_mm"}
