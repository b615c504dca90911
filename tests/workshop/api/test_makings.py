"""Making over the API: every act of the make page, and how far a run has come."""

from datetime import UTC, datetime, timedelta
from io import BytesIO
from uuid import uuid4

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from PIL import Image

from inventory.models import Change
from tests.factories.api import repeated, send
from tests.factories.inventory import KG, make_act, make_full_bin
from tests.factories.making import make_old_run, step, tap
from tests.factories.workshop import load
from workshop.actions.runs import abandon_run
from workshop.models import Cycle, Pause, Photo, Reading, Step

pytestmark = pytest.mark.django_db


@pytest.fixture
def run(operator):
    """An injection machine with PE-HD in it."""
    _bin, lot = make_full_bin(operator)
    run = make_old_run(operator, "inject")
    load(run, lot, operator, KG)
    return run


def test_a_cycle_is_counted_once_however_often_it_is_sent(api_client, run):
    first, second = repeated(api_client, f"runs/{run.code}/cycles/")
    assert (first.status_code, first.json()) == (201, second.json())
    assert Cycle.objects.count() == 1


def test_the_moment_is_that_of_the_client(api_client, run):
    moment = (datetime.now(UTC) - timedelta(minutes=2)).replace(microsecond=0)
    sent = send(api_client, f"runs/{run.code}/cycles/", happened_at=moment.isoformat())
    assert Cycle.objects.get(uuid=sent.json()["uuid"]).happened_at == moment


def test_a_cycle_is_taken_back_by_its_id(api_client, run):
    cycle = send(api_client, f"runs/{run.code}/cycles/").json()["uuid"]
    send(api_client, f"runs/{run.code}/cycles/")
    undone = send(api_client, f"runs/{run.code}/cycles/undo/", cycle=cycle).json()
    assert undone["undoes"] == cycle


def test_all_taps_are_listed_undone_ones_too(api_client, operator, run):
    tap(run, operator, 60)
    send(api_client, f"runs/{run.code}/cycles/undo/")
    rows = api_client.get(f"/api/runs/{run.number}/cycles/").json()["results"]
    assert [row["undoes"] for row in rows] == [None, rows[0]["uuid"]]


def test_a_misspelt_filter_is_refused(api_client, run):
    assert api_client.get(f"/api/runs/{run.code}/cycles/?undon=1").status_code == 400


def test_steps_are_started_and_stopped(api_client, run):
    send(api_client, f"runs/{run.code}/steps/", name="heat")
    send(api_client, f"runs/{run.code}/steps/end/")
    assert list(Step.objects.in_order().values_list("name", flat=True)) == ["heat", ""]


def test_a_step_of_another_operation_is_refused(api_client, run):
    answer = send(api_client, f"runs/{run.code}/steps/", name="tumble")
    assert (answer.status_code, answer.json()["code"]) == (422, "wrong-step")
    assert not Step.objects.exists()


def test_a_pause_begins_and_ends(api_client, run):
    begun = send(api_client, f"runs/{run.code}/pauses/", why="fault", note="heater 2").json()
    ended = send(api_client, f"runs/{run.code}/pauses/end/").json()
    assert (begun["note"], ended["ends"]) == ("heater 2", begun["uuid"])


def test_something_else_needs_a_note(api_client, run):
    answer = send(api_client, f"runs/{run.code}/pauses/", why="other")
    assert (answer.status_code, answer.json()["code"]) == (422, "reason")
    assert not Pause.objects.exists()


def test_a_reading_out_of_its_window_is_noted_and_marked(api_client, run):
    answer = send(api_client, f"runs/{run.code}/readings/", quantity="melt", value="285.5").json()
    assert (answer["value"], answer["place"], answer["is_above_fume"]) == ("285.50", "above", True)
    assert (answer["low"], answer["high"], answer["window_source"]) == (
        "182.00",
        "274.00",
        "PE-HD, PG",
    )


def test_a_reading_that_cannot_be_is_refused(api_client, run):
    answer = send(api_client, f"runs/{run.code}/readings/", quantity="melt", value=2300)
    assert (answer.status_code, answer.json()["code"]) == (422, "absurd")
    assert not Reading.objects.exists()


def red_picture():
    out = BytesIO()
    Image.new("RGB", (40, 30), "red").save(out, format="JPEG")
    return SimpleUploadedFile("red.jpg", out.getvalue(), content_type="image/jpeg")


def test_a_photo_is_sent_as_a_form_and_shown_as_a_picture(api_client, run):
    body = {"uuid": str(uuid4()), "picture": red_picture(), "note": "first shot"}
    answer = api_client.post(f"/api/runs/{run.code}/photos/", body, format="multipart")
    assert (answer.status_code, answer.json()["note"]) == (201, "first shot")
    shown = api_client.get(f"/api/runs/{run.code}/photos/{answer.json()['uuid']}/")
    assert Image.open(BytesIO(shown.content)).size == (40, 30)


def test_what_is_no_photo_is_refused(api_client, run):
    file = SimpleUploadedFile("x.jpg", b"no picture", content_type="image/jpeg")
    body = {"uuid": str(uuid4()), "picture": file}
    answer = api_client.post(f"/api/runs/{run.code}/photos/", body, format="multipart")
    assert answer.status_code == 400
    assert "This is no photo" in answer.json()["fields"]["picture"][0]
    assert not Photo.objects.exists()


ACTS = [
    ("cycles/", {}),
    ("cycles/undo/", {}),
    ("steps/", {"name": "heat"}),
    ("steps/end/", {}),
    ("pauses/", {"why": "break"}),
    ("pauses/end/", {}),
    ("readings/", {"quantity": "melt", "value": "200"}),
]


@pytest.mark.parametrize(("address", "body"), ACTS, ids=[address for address, _body in ACTS])
def test_a_closed_run_takes_none_of_them(api_client, operator, run, address, body):
    abandon_run(run=run, act=make_act(operator, "heater broke"))
    before = Change.objects.count()
    answer = send(api_client, f"runs/{run.code}/{address}", **body)
    assert (answer.status_code, answer.json()["code"]) == (422, "run-closed")
    assert Change.objects.count() == before


def test_how_far_a_run_has_come(api_client, operator, run):
    tap(run, operator, 0), tap(run, operator, 60)
    step(run, operator, "heat", 0), step(run, operator, "cool", 45)
    found = api_client.get(f"/api/runs/{run.code}/making/").json()
    assert (found["cycles"], found["pieces_per_hour"]) == (2, 60.0)
    assert found["times"] == {
        "n": 1,
        "median_s": 60.0,
        "low_s": None,
        "high_s": None,
        "is_few": True,
    }
    assert found["steps"][0]["name"] == "heat"
    assert (found["running"]["name"], found["pause"]) == ("cool", None)
    assert found["gauges"][0]["quantity"] == "melt"
