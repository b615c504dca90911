"""Steps are started and stopped from the make page."""

import pytest
from django.urls import reverse

from tests.factories.workshop import make_run
from workshop.models import Step

pytestmark = pytest.mark.django_db


@pytest.fixture
def run(operator):
    return make_run(operator)


def test_one_tap_starts_a_step_and_another_stops_it(floor, run, key):
    start, stop = (reverse(f"workshop:step-{each}", args=[run.code]) for each in ("start", "end"))
    floor.post(start, {"key": key, "name": "heat"})
    floor.post(stop, {"key": key[:-4] + "abcd"})
    assert list(Step.objects.in_order().values_list("name", flat=True)) == ["heat", ""]


def test_a_step_of_another_operation_is_refused(floor, run, key):
    address = reverse("workshop:step-start", args=[run.code])
    assert floor.post(address, {"key": key, "name": "tumble"}).status_code == 422
    assert not Step.objects.exists()


def test_the_running_step_is_marked_by_its_state(floor, run, key):
    address = reverse("workshop:step-start", args=[run.code])
    shown = floor.post(address, {"key": key, "name": "heat"}, headers={"HX-Request": "true"})
    assert 'id="step-heat" aria-pressed="true"' in shown.content.decode()
