"""Noting what the machine shows, from the make page."""

from uuid import uuid4

import pytest
from django.urls import reverse

from products.models import Window
from tests.factories.inventory import KG, make_full_bin
from tests.factories.workshop import load, make_run
from workshop.models import Reading

pytestmark = pytest.mark.django_db


@pytest.fixture
def run(operator):
    """An injection machine with PE-HD and a design that wants 190 to 230 °C."""
    _bin, lot = make_full_bin(operator)
    run = make_run(operator, "inject")
    load(run, lot, operator, KG)
    Window.objects.create(design=run.design, quantity="melt", low=190, high=230)
    return run


def post(client, run, headers=None, **fields):
    fields = {"key": uuid4(), "quantity": "melt"} | fields
    return client.post(reverse("workshop:reading-note", args=[run.code]), fields, headers=headers)


def test_the_window_of_the_design_stands_beside_the_box(floor, run):
    shown = floor.get(reverse("workshop:run-make", args=[run.code])).content.decode()
    assert "Window 190 to 230\N{NO-BREAK SPACE}°C, by the design" in shown
    assert "Usually 16 to 43\N{NO-BREAK SPACE}°C (PE-HD, published)" in shown


@pytest.mark.parametrize("typed", ["215.5", "215,5", " 215.50 "])
def test_a_value_in_the_window_is_noted_at_once(floor, run, typed):
    shown = post(floor, run, {"HX-Request": "true"}, value=typed).content.decode()
    assert Reading.objects.get().value == 215.5
    assert "<strong>215.5\N{NO-BREAK SPACE}°C</strong>, in the window" in shown


def test_a_value_out_of_the_window_is_asked_back_once(floor, run):
    key = uuid4()
    answer = post(floor, run, key=key, value="236")
    assert answer.status_code == 422
    assert "236 °C lies above the window. Is that what it shows?" in answer.content.decode()
    assert not Reading.objects.exists()
    assert post(floor, run, key=key, value="236", sure="236").status_code == 302
    assert Reading.objects.get().place == "above"


def test_another_value_than_was_asked_about_is_asked_about_again(floor, run):
    assert post(floor, run, value="237", sure="236").status_code == 422
    assert not Reading.objects.exists()


def test_what_waited_on_a_tablet_is_noted_without_asking(floor, run):
    post(floor, run, {"X-Queued": "1"}, value="236")
    assert Reading.objects.get().place == "above"


def test_above_the_fume_ceiling_the_page_says_stop(floor, run):
    shown = post(floor, run, {"HX-Request": "true"}, value="285", sure="285").content.decode()
    assert "Stop: above the fume ceiling of 280 °C" in shown
    assert "Stop: the melt temperature is 285\N{NO-BREAK SPACE}°C. Above 280 °C PE-HD" in shown
    assert Reading.objects.get().is_above_fume


def test_the_next_reading_below_the_ceiling_ends_the_stop(floor, run):
    post(floor, run, value="285", sure="285")
    assert (
        "Stop:"
        not in post(floor, run, value="220", headers={"HX-Request": "true"}).content.decode()
    )


@pytest.mark.parametrize("value", ["2300", "-300", "", "hot", "nan", "1e9", "215.555"])
def test_what_cannot_be_is_refused_and_stays_in_the_box(floor, run, value):
    answer = post(floor, run, value=value)
    assert answer.status_code == 422
    assert f'value="{value}"' in answer.content.decode() or not value
    assert not Reading.objects.exists()


@pytest.mark.parametrize("quantity", ["", "luck", "press-force"])
def test_what_is_not_read_here_is_refused(floor, run, quantity):
    assert post(floor, run, quantity=quantity, value="200", sure="200").status_code == 422
    assert not Reading.objects.exists()
