"""Pausing and resuming from the make page."""

from uuid import uuid4

import pytest
from django.urls import reverse

from tests.factories.workshop import make_run
from workshop.models import Pause

pytestmark = pytest.mark.django_db


@pytest.fixture
def run(operator):
    return make_run(operator)


def post(client, run, name, **fields):
    return client.post(reverse(f"workshop:{name}", args=[run.code]), {"key": uuid4()} | fields)


def test_a_pause_with_its_reason_and_a_tap_that_ends_it(floor, run):
    post(floor, run, "pause-start", why="fault", note="heater 2")
    post(floor, run, "pause-end")
    begun, ended = Pause.objects.all()
    assert (begun.why, ended.ends) == ("machine fault: heater 2", begun)


def test_something_else_without_words_is_asked_for_them(floor, run):
    answer = post(floor, run, "pause-start", why="other")
    assert answer.status_code == 422
    assert "Choose why, or say it in a few words." in answer.content.decode()
    assert not Pause.objects.exists()


def test_a_refused_pause_keeps_what_was_typed(floor, run):
    answer = post(floor, run, "pause-start", note="heater 2")
    assert 'value="heater 2"' in answer.content.decode()
