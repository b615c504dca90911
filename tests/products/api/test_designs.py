"""Designs over the API."""

import pytest

from products.calculations.sheet_sizes import Size
from products.models import Design
from tests.factories.api import client_of, send
from tests.factories.inventory import KG
from tests.factories.workshop import DesignFactory

pytestmark = pytest.mark.django_db

TILE = {"name": "Tile", "made_by": "press", "nominal_mass_mg": KG}


def test_a_design_is_added(lead):
    body = TILE | {"polymers": ["pp", "PE-HD", "PP"], "thickness_mm": "8.50", "tracked": "bag"}
    answer = send(client_of(lead), "designs/", **body).json()
    design = Design.objects.get(pk=answer["id"])
    assert answer["polymers"] == sorted(each.symbol for each in design.polymers.all())
    assert (str(design.thickness_mm), design.tracked) == ("8.50", "bag")


@pytest.mark.parametrize(
    ("name", "value"),
    [
        ("polymers", "PP"),
        ("polymers", [["PP"]]),
        ("polymers", ["PP"] * 50),
        ("polymers", [None]),
        ("thickness_mm", "NaN"),
        ("thickness_mm", 1e300),
        ("thickness_mm", 0),
        ("thickness_mm", True),
        ("pieces_per_cycle", 0),
        ("pieces_per_cycle", 32_768),
        ("nominal_mass_mg", 0),
        ("made_by", "granulate"),
        ("form", "flake"),
        ("name", "x" * 81),
    ],
)
def test_refuses_a_design_that_cannot_be(lead, name, value):
    answer = send(client_of(lead), "designs/", **TILE | {name: value})
    assert (answer.status_code, list(answer.json()["fields"])) == (400, [name])
    assert not Design.objects.exists()


def test_designs_are_narrowed(api_client):
    DesignFactory(name="Sheet")
    DesignFactory(name="Hook", made_by="inject", form="part")
    answer = api_client.get("/api/designs/?made_by=inject&form=part&withdrawn=false").json()
    assert [row["name"] for row in answer["results"]] == ["Hook"]


def test_the_list_asks_the_same_for_any_length(api_client, django_assert_max_num_queries):
    DesignFactory.create_batch(6)
    with django_assert_max_num_queries(4):
        assert len(api_client.get("/api/designs/").json()["results"]) == 6


def test_a_sheet_has_a_usual_size_in_mm(lead):
    body = TILE | {"form": "sheet", "length_mm": "600.5", "width_mm": 500}
    answer = send(client_of(lead), "designs/", **body).json()
    assert (answer["length_mm"], answer["width_mm"]) == ("600.500", "500.000")
    assert Design.objects.get().size == Size(600_500, 500_000)


def test_half_a_size_or_one_of_no_sheet_is_refused(lead):
    half = send(client_of(lead), "designs/", **TILE, form="sheet", length_mm=600)
    assert half.status_code == 400
    assert list(half.json()["fields"]) == ["width_mm"]
    part = send(client_of(lead), "designs/", **TILE, length_mm=600, width_mm=500)
    assert (part.status_code, part.json()["code"]) == (422, "no-sheet")
