"""Taps on the make page, with script and without."""

from datetime import UTC, datetime

import pytest
from django.urls import reverse

from tests.factories.inventory import make_act
from tests.factories.workshop import make_run
from workshop.actions.cycles import count_cycle
from workshop.actions.runs import abandon_run
from workshop.models import Cycle

pytestmark = pytest.mark.django_db


@pytest.fixture
def run(operator):
    return make_run(operator)


def post(client, run, name, key, *, htmx=False, **fields):
    headers = {"HX-Request": "true"} if htmx else {}
    address = reverse(f"workshop:{name}", args=[run.code])
    return client.post(address, {"key": key} | fields, headers=headers)


def test_without_script_a_tap_leads_back_to_the_page(floor, run, key):
    answer = post(floor, run, "cycle-count", key)
    assert answer.headers["Location"] == reverse("workshop:run-make", args=[run.code])
    assert str(Cycle.objects.get().uuid) == key


def test_with_script_a_tap_is_answered_by_what_it_changed(floor, run, key):
    shown = post(floor, run, "cycle-count", key, htmx=True).content.decode()
    assert "<html" not in shown
    assert 'id="making-live"' in shown
    assert 'id="making-acts" class="making-acts" hx-swap-oob="true"' in shown
    assert key not in shown.split('id="undo-form"')[0]


def test_the_moment_of_the_tap_is_that_of_the_tablet(floor, run, key):
    moment = datetime.now(UTC).replace(microsecond=125_000)
    post(floor, run, "cycle-count", key, happened_at=moment.isoformat())
    assert Cycle.objects.get().happened_at == moment


def test_the_same_tap_sent_twice_counts_once(floor, run, key):
    post(floor, run, "cycle-count", key)
    assert post(floor, run, "cycle-count", key).status_code == 302
    assert Cycle.objects.count() == 1


def test_an_undo_takes_back_the_cycle_that_the_page_showed(floor, operator, run, key):
    shown = count_cycle(run=run, act=make_act(operator))
    count_cycle(run=run, act=make_act(operator))
    post(floor, run, "cycle-undo", key, cycle=shown.uuid)
    assert Cycle.objects.get(uuid=key).undoes == shown


@pytest.mark.parametrize("htmx", [True, False])
def test_a_refused_tap_says_why_and_writes_nothing(floor, operator, run, key, htmx):
    abandon_run(run=run, act=make_act(operator, "heater broke"))
    answer = post(floor, run, "cycle-count", key, htmx=htmx)
    assert answer.status_code == 422
    assert "This run is closed" in answer.content.decode()
    assert not Cycle.objects.exists()


@pytest.mark.parametrize("fields", [{"key": "x"}, {"happened_at": "yesterday"}])
def test_a_tap_that_makes_no_sense_is_refused(floor, run, key, fields):
    answer = post(floor, run, "cycle-count", **({"key": key} | fields))
    assert answer.status_code == 422
    assert not Cycle.objects.exists()


def test_looking_at_the_address_of_a_tap_leads_to_the_page(floor, run):
    assert floor.get(reverse("workshop:cycle-count", args=[run.code])).status_code == 302
