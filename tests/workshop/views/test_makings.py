"""The make page of a run, and how a tap is answered."""

import pytest
from django.urls import reverse

from tests.factories.inventory import make_act, polymer
from tests.factories.making import at, make_old_run, pause, step, tap
from tests.factories.workshop import DesignFactory, make_run
from workshop.actions.runs import abandon_run
from workshop.views.makings import summary_of

pytestmark = pytest.mark.django_db


@pytest.fixture
def run(operator):
    return make_old_run(operator)


def page(client, run):
    return client.get(reverse("workshop:run-make", args=[run.code])).content.decode()


def test_an_operator_sees_the_large_button(floor, run):
    assert 'form="cycle-form"' in page(floor, run)


def test_an_auditor_reads_and_has_no_button(reader, operator, run):
    tap(run, operator, 60)
    shown = page(reader, run)
    assert "cycle-form" not in shown
    assert "One cycle" in shown


def test_a_closed_run_shows_what_was_counted_and_takes_nothing(floor, operator, run):
    tap(run, operator, 60)
    abandon_run(run=run, act=make_act(operator, "heater broke"))
    shown = page(floor, run)
    assert "What was counted, timed and read stays as it is." in shown
    assert "<form" not in shown.split("<main")[1]


def test_the_clock_of_a_step_starts_at_its_recorded_moment(floor, operator):
    run = make_run(operator)
    step(run, operator, "heat", (run.opened_at - at(0)).total_seconds())
    assert f'data-since="{run.opened_at.isoformat()[:19]}' in page(floor, run)


def test_in_a_pause_the_large_button_resumes(floor, operator, run):
    pause(run, operator, 10)
    shown = page(floor, run)
    assert 'form="resume-form"' in shown
    assert 'form="cycle-form"' not in shown
    assert "Paused since" in shown


def test_a_few_cycles_say_that_they_are_few_and_how_many(floor, operator, run):
    tap(run, operator, 0), tap(run, operator, 40), tap(run, operator, 90)
    shown = page(floor, run)
    assert "Only 2 times so far" in shown
    assert "45.0\N{NO-BREAK SPACE}s" in shown
    assert "n = 2" in shown


def test_the_page_asks_the_same_number_of_questions_however_long_the_run(
    floor, operator, run, django_assert_max_num_queries
):
    for number in range(30):
        tap(run, operator, 40 * number)
        step(run, operator, "heat", 40 * number + 1)
    with django_assert_max_num_queries(30):
        page(floor, run)


def test_the_run_page_may_show_a_summary(operator, run):
    tap(run, operator, 0), tap(run, operator, 60)
    found = summary_of(run)
    assert (found["cycles"], found["pieces"]) == (2, "2 pieces")
    assert [figure["value"] for figure in found["figures"]][:2] == ["60.0\N{NO-BREAK SPACE}s", "60"]


def test_a_run_that_closed_without_a_tap_has_no_summary(operator, run):
    closed = abandon_run(run=run, act=make_act(operator, "heater broke"))
    assert summary_of(closed) is None


def test_a_closed_run_leads_its_cooling_time_to_the_desk(floor, operator):
    design = DesignFactory(made_by="press", thickness_mm=10)
    design.polymers.set([polymer("PP")])
    run = make_old_run(operator, design=design)
    step(run, operator, "cool", 60)
    step(run, operator, "eject", 420)
    address = reverse("workshop:run-make", args=[run.code])
    assert floor.get(address).context["calibration_url"] == ""
    run.closed_at = at(600)
    run.save()
    url = floor.get(address).context["calibration_url"]
    assert url == "/desk/calibration/?seconds=360.0&thickness_mm=10.00&polymer=PP"
    shown = floor.get(url).content.decode()
    assert "Effective diffusivity, read at the centre" in shown
    assert "0.65 to 1.3" in shown  # the band of the reference, beside it
