"""Photos of a run: drawn anew, and only for staff."""

from io import BytesIO
from uuid import uuid4

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse
from PIL import Image

from tests.factories.workshop import make_run
from workshop.models import Photo

pytestmark = pytest.mark.django_db
PLACE_TAG = 0x010E  # ImageDescription


@pytest.fixture
def run(operator):
    return make_run(operator)


def picture() -> SimpleUploadedFile:
    """Return a photo that says where it was taken."""
    out, exif = BytesIO(), Image.Exif()
    exif[PLACE_TAG] = "secret place"
    Image.new("RGB", (40, 30), "red").save(out, format="JPEG", exif=exif)
    return SimpleUploadedFile("red.jpg", out.getvalue(), content_type="image/jpeg")


def add(client, run, file=None):
    fields = {"key": uuid4(), "note": "first shot", "picture": file or picture()}
    return client.post(reverse("workshop:photo-add", args=[run.code]), fields)


def shown(client, run):
    return client.get(reverse("workshop:photo-show", args=[run.code, Photo.objects.get().uuid]))


def test_a_photo_is_kept_without_what_the_camera_wrote(floor, run):
    assert b"secret place" in picture().read()
    assert add(floor, run).status_code == 302
    octets = b"".join(shown(floor, run).streaming_content)
    assert b"secret place" not in octets
    assert Image.open(BytesIO(octets)).size == (40, 30)


def test_what_is_no_photo_is_refused_in_a_sentence(floor, run):
    answer = add(floor, run, SimpleUploadedFile("x.jpg", b"no picture", content_type="image/jpeg"))
    assert answer.status_code == 422
    assert "This is no photo that can be kept" in answer.content.decode()
    assert not Photo.objects.exists()


def test_nobody_sees_a_photo_without_a_login(floor, run):
    add(floor, run)
    assert "/login/" in shown(Client(), run).headers["Location"]


def test_a_photo_belongs_to_its_run(floor, operator, run):
    add(floor, run)
    assert shown(floor, make_run(operator)).status_code == 404
