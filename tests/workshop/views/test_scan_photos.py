"""The page that reads a label from a photo."""

import pytest
from django.core.cache import cache
from django.core.files.uploadedfile import SimpleUploadedFile
from PIL import Image

from tests.factories.inventory import KG, BinFactory, make_full_bin
from tests.factories.label_photos import as_bytes, label_photo, on_bench, printed
from tests.factories.workshop import load, make_run

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def _no_photos_yet():
    cache.clear()


@pytest.fixture
def bin(db):
    return BinFactory(name="B-07")


def send(client, photo, **more):
    photo = photo if isinstance(photo, bytes) else as_bytes(photo)
    return client.post("/q/photo/", {"photo": SimpleUploadedFile("a.jpg", photo)} | more)


def test_a_photo_leads_where_its_code_leads(bin, floor):
    assert send(floor, label_photo(bin.code)).headers["Location"] == f"/q/?code={bin.code}"


def test_a_photo_on_a_runs_page_leads_into_the_run(operator, floor):
    run, bin = make_run(operator), make_full_bin(operator)[0]
    answer = send(floor, label_photo(bin.code), run=run.code, stage="load")
    there = floor.get(answer.headers["Location"])
    assert there.headers["Location"] == f"/runs/{run.code}/load/?from={bin.code}"


def test_several_codes_are_offered(bin, operator, floor):
    run, other = make_run(operator), BinFactory(name="B-08")
    load(run, make_full_bin(operator)[1], operator, KG)
    photo = on_bench(printed(bin.code), printed(other.code))
    page = send(floor, photo, run=run.code).content.decode()
    assert f'href="/q/?code={bin.code}&amp;run={run.code}"' in page
    assert "B-08" in page


def test_ours_is_taken_of_several_codes(bin, floor):
    photo = on_bench(printed("ABCDEFGHJKMN"), printed(bin.code))
    assert send(floor, photo).headers["Location"] == f"/q/?code={bin.code}"


def test_a_code_of_nothing_here_is_told(floor):
    answer = send(floor, label_photo("ABCDEFGHJKMN"))
    assert answer.status_code == 422
    assert "nothing in this book has it" in answer.content.decode()


@pytest.mark.parametrize(
    ("photo", "status", "says"),
    [
        (b"no picture", 415, "This is no photo that can be read"),
        (b"\x00\x00\x00\x18ftypheic" + bytes(40), 415, "HEIC"),
        (as_bytes(Image.new("L", (300, 300))), 422, "No code is to be seen"),
        (b"", 422, "The photo is empty"),
        (bytes(10 * 1024 * 1024 + 1), 413, "larger than 10 MB"),
    ],
    ids=["text", "heic", "code-less", "empty", "large"],
)
def test_what_is_no_photo_of_a_code_is_told(photo, status, says, floor):
    answer = send(floor, photo)
    assert answer.status_code == status
    assert says in answer.content.decode()


def test_a_photo_is_asked_for(floor):
    answer = floor.post("/q/photo/", {})
    assert answer.status_code == 422
    assert "Take or choose a photo first." in answer.content.decode()


def test_the_page_opens_without_a_photo(floor):
    assert floor.get("/q/photo/").status_code == 200


def test_many_photos_in_a_minute_are_turned_away(floor):
    for _each in range(20):
        assert send(floor, b"no picture").status_code == 415
    answer = send(floor, b"no picture")
    assert answer.status_code == 429
    assert "wait a little" in answer.content.decode()


def test_one_person_does_not_use_up_the_photos_of_another(floor, desk):
    for _each in range(21):
        send(floor, b"no picture")
    assert send(desk, b"no picture").status_code == 415


def test_strangers_send_no_photos(client):
    assert "/login/" in send(client, b"no picture").headers["Location"]


def test_an_auditor_may_scan(bin, reader):
    assert send(reader, label_photo(bin.code)).status_code == 302


def test_no_photo_is_kept(bin, floor, settings, tmp_path):
    settings.MEDIA_ROOT = tmp_path
    send(floor, label_photo(bin.code, size=(4000, 3000)))
    assert list(tmp_path.iterdir()) == []
