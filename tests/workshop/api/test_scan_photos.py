"""Photos and frames, over the API."""

import pytest
from django.core.cache import cache
from django.core.files.uploadedfile import SimpleUploadedFile
from PIL import Image

from tests.factories.inventory import BinFactory, make_full_bin
from tests.factories.label_photos import as_bytes, label_photo
from tests.factories.workshop import make_run

pytestmark = pytest.mark.django_db

NOTHING = as_bytes(Image.new("L", (640, 480)))


@pytest.fixture(autouse=True)
def _no_photos_yet():
    cache.clear()


def send(client, noun, photo, **more):
    photo = SimpleUploadedFile("photo.jpg", photo, content_type="image/jpeg")
    return client.post(f"/api/{noun}/", {"photo": photo} | more, format="multipart")


@pytest.mark.parametrize("noun", ["scan-photos", "scan-frames"])
def test_what_a_photo_shows_is_told(noun, api_client):
    bin = BinFactory(name="B-07")
    photo = as_bytes(label_photo(bin.code, size=(1280, 960), wide=700))
    found = send(api_client, noun, photo).json()["codes"]
    assert [(each["kind"], each["name"], each["code"]) for each in found] == [
        ("bin", "B-07", bin.code)
    ]


def test_a_photo_taken_at_a_run_leads_into_it(api_client, operator):
    run, (bin, _lot) = make_run(operator), make_full_bin(operator)
    answer = send(api_client, "scan-photos", as_bytes(label_photo(bin.code)), run=run.code)
    assert answer.json()["codes"][0]["url"] == f"/runs/{run.code}/load/?from={bin.code}"


@pytest.mark.parametrize(
    ("photo", "status", "code"),
    [
        (NOTHING, 422, "no-code"),
        (as_bytes(label_photo("ABCDEFGHJKMN")), 422, "not-ours"),
        (b"no picture", 415, "photo-kind"),
        (b"", 422, "empty"),
    ],
    ids=["code-less", "not ours", "text", "empty"],
)
def test_a_photo_that_helps_nobody_is_refused(photo, status, code, api_client):
    answer = send(api_client, "scan-photos", photo)
    assert (answer.status_code, answer.json()["code"]) == (status, code)
    assert answer.json()["fields"]["photo"] == [answer.json()["detail"]]


def test_a_frame_without_a_code_is_no_refusal(api_client):
    answer = send(api_client, "scan-frames", NOTHING)
    assert (answer.status_code, answer.json()) == (200, {"codes": []})


def test_a_frame_with_somebody_elses_code_says_so(api_client):
    photo = as_bytes(label_photo("ABCDEFGHJKMN", size=(1280, 960)))
    (found,) = send(api_client, "scan-frames", photo).json()["codes"]
    assert (found["kind"], found["url"]) == ("", "")


def test_a_photo_is_asked_for(api_client):
    answer = api_client.post("/api/scan-photos/", {}, format="multipart")
    assert (answer.status_code, answer.json()["code"]) == (422, "required")


def test_other_than_a_form_is_refused(api_client):
    assert api_client.post("/api/scan-photos/", {}, format="json").status_code == 415


@pytest.mark.parametrize("body", [b"", b"x", b"--b\r\n", b"--b\r\n\r\n\x00\xff\r\n--b--"])
def test_a_broken_form_is_no_fault(body, api_client):
    kind = "multipart/form-data; boundary=b"
    answer = api_client.generic("POST", "/api/scan-photos/", body, content_type=kind)
    assert 400 <= answer.status_code < 500


def test_photos_of_page_and_program_count_together(api_client, operator):
    answers = [send(api_client, "scan-photos", b"x").status_code for _each in range(21)]
    assert answers == [415] * 20 + [429]


def test_three_frames_a_second_are_let_through(api_client):
    answers = {send(api_client, "scan-frames", b"x").status_code for _each in range(180)}
    assert answers == {415}
