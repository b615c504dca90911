"""Pages that write a design out as a file and bring one in."""

import json

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse

from products.calculations.design_files import SCHEMA, SCHEMAS
from products.models import Design
from tests.factories.workshop import DesignFactory

pytestmark = pytest.mark.django_db
BRING = reverse("products:design-bring")
LEAST = {"format": "design-1", "name": "Tile", "made_by": "press", "nominal_mass_mg": 1_000_000}


def upload(document):
    text = document if isinstance(document, bytes) else json.dumps(document).encode()
    return SimpleUploadedFile("design.json", text, content_type="application/json")


def test_a_design_is_written_out(floor):
    design = DesignFactory(name="Größe")
    answer = floor.get(reverse("products:design-file", args=[design.pk]))
    assert answer.headers["Content-Type"] == "application/json"
    assert json.loads(answer.content)["name"] == "Größe"


def test_writing_out_asks_little(floor, django_assert_max_num_queries):
    design = DesignFactory()
    with django_assert_max_num_queries(17):
        floor.get(reverse("products:design-file", args=[design.pk]))


def test_anybody_reads_the_schema(db):
    answer = Client().get(reverse("products:design-schema"))
    assert answer.status_code == 200
    assert json.loads(answer.content) == SCHEMA
    for version, kept in SCHEMAS.items():
        old = Client().get(f"/schemas/{version}.json")
        assert json.loads(old.content) == kept
        assert f"{version}.schema.json" in old.headers["Content-Disposition"]


def test_a_size_of_what_is_no_sheet_is_refused_with_its_place(desk, key):
    sent = LEAST | {"format": "design-2", "size_mm": {"length": "600", "width": "400"}}
    answer = desk.post(BRING, {"key": key, "file": upload(sent)})
    assert answer.status_code == 422
    assert "/size_mm" in answer.content.decode()
    assert not Design.objects.exists()


def test_a_file_becomes_a_design(desk, key):
    answer = desk.post(BRING, {"key": key, "file": upload(LEAST)})
    assert answer.headers["Location"] == Design.objects.get(name="Tile").get_absolute_url()


def test_a_file_with_faults_is_refused_with_the_places(desk, key):
    sent = LEAST | {"nominal_mass_mg": -1, "<b>": 1}
    answer = desk.post(BRING, {"key": key, "file": upload(sent)})
    text = answer.content.decode()
    assert answer.status_code == 422
    assert "/nominal_mass_mg" in text
    assert "/&lt;b&gt;" in text
    assert not Design.objects.exists()


@pytest.mark.parametrize("text", [b"\x00", b"[" * 100_000, b" " * 300_000, b'{"a": "\\ud800"}'])
def test_a_hostile_file_is_refused(desk, key, text):
    assert desk.post(BRING, {"key": key, "file": upload(text)}).status_code == 422
    assert not Design.objects.exists()


def test_without_a_file_it_asks_for_one(desk, key):
    answer = desk.post(BRING, {"key": key})
    assert answer.status_code == 422
    assert "Choose a file." in answer.content.decode()


def test_a_taken_name_is_refused_and_the_file_is_kept(desk, key):
    DesignFactory(name="Tile")
    answer = desk.post(BRING, {"key": key, "file": upload(LEAST)})
    assert answer.status_code == 422
    kept = answer.context["kept"]
    assert json.loads(kept) == LEAST
    desk.post(BRING, {"key": key, "document": kept, "name": "Tile of theirs"})
    assert Design.objects.filter(name="Tile of theirs").exists()


def test_only_the_lead_brings_a_design(floor, key):
    assert floor.post(BRING, {"key": key, "file": upload(LEAST)}).status_code == 403
