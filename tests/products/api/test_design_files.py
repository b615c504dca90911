"""Designs as files over the API."""

import pytest

from products.models import Design
from tests.factories.api import client_of, repeated, send
from tests.factories.workshop import DesignFactory

pytestmark = pytest.mark.django_db
LEAST = {"format": "design-1", "name": "Tile", "made_by": "press", "nominal_mass_mg": 1_000_000}


@pytest.fixture
def desk_client(lead):
    return client_of(lead)


def test_a_design_goes_out_and_comes_in(desk_client):
    design = DesignFactory(name="Sheet")
    document = desk_client.get(f"/api/designs/{design.pk}/file/").json()
    first, second = repeated(desk_client, "designs/bring/", document=document, name="Copy")
    assert (first.status_code, first.json()) == (201, second.json())
    assert Design.objects.get(name="Copy").nominal_mass_mg == design.nominal_mass_mg


@pytest.mark.parametrize(
    "wrong", [{"format": "design-9"}, {"x": 1}, {"polymers": ["XYZ"]}, {"name": "\ud800"}]
)
def test_a_document_with_faults_is_refused_with_the_place(desk_client, wrong):
    answer = send(desk_client, "designs/bring/", document=LEAST | wrong)
    assert (answer.status_code, answer.json()["code"]) == (422, "file")
    assert f"/{next(iter(wrong))}" in answer.json()["detail"]
    assert not Design.objects.exists()


def test_a_size_goes_out_and_comes_in_and_a_wrong_one_is_refused(desk_client):
    sheet = DesignFactory(name="Sheet", form="sheet", length_um=600_000, width_um=400_500)
    document = desk_client.get(f"/api/designs/{sheet.pk}/file/").json()
    assert document["size_mm"] == {"length": "600", "width": "400.5"}
    answer = send(desk_client, "designs/bring/", document=document, name="Copy")
    assert answer.status_code == 201
    assert Design.objects.get(name="Copy").width_um == 400_500
    wrong = document | {"size_mm": {"length": "600", "width": "0"}}
    answer = send(desk_client, "designs/bring/", document=wrong, name="Third")
    assert (answer.status_code, answer.json()["code"]) == (422, "file")
    assert "/size_mm/width" in answer.json()["detail"]


@pytest.mark.parametrize("document", ["text", [], None, 3])
def test_what_is_no_document_is_refused(desk_client, document):
    assert send(desk_client, "designs/bring/", document=document).status_code == 400


def test_a_document_too_large_is_refused(desk_client):
    answer = send(desk_client, "designs/bring/", document=LEAST | {"note": "x" * 300_000})
    assert answer.status_code == 413
