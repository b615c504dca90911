"""The page of a run's time, energy and cost."""

import re

import pytest
from django.urls import reverse

from tests.factories.costs import put_price, put_rate, set_euro
from tests.factories.inventory import KG, make_act, make_full_bin
from tests.factories.making import make_old_run, step, tap
from tests.factories.workshop import load, make_run, weigh_out
from workshop.actions.runs import abandon_run
from workshop.models import Metering

pytestmark = pytest.mark.django_db


def address(run):
    return reverse("workshop:run-costs", args=[run.code])


def meter(run):
    return reverse("workshop:run-meter", args=[run.code])


def text(answer):
    plain = re.sub("<[^>]+>", " ", answer.content.decode().replace("\xa0", " "))
    return " ".join(plain.split())


@pytest.fixture
def timed(lead):
    """Twenty minutes of heat and ten of press, one kilogram of two that has a price."""
    set_euro(lead)
    put_rate(lead, "labour", 18)
    run = make_old_run(lead)
    _bin, lot = make_full_bin(lead)
    put_price(lead, lot, "0.5")
    load(run, lot, lead, KG)
    load(run, make_full_bin(lead)[1], lead, KG)
    weigh_out(run, lead, "part", 2 * KG, pieces=4)
    for name, second in [("heat", 0), ("press", 1200), ("heat", 1800)]:
        step(run, lead, name, second)
    tap(run, lead, 1800)
    return run


def test_it_tells_time_energy_and_cost_with_what_is_unknown(floor, timed):
    found = text(floor.get(address(timed)))
    assert "Worked 30.0 min from the first tap to the last" in found
    assert "Slowest step Heat" in found
    assert "Labour 9.00 EUR" in found
    assert "Material at least 0.50 EUR" in found
    assert "50.0 % of the material has no price" in found
    assert "Energy not known" in found
    assert "Sum at least 9.50 EUR For each piece at least 2.37 EUR" in found
    assert "For each good kilogram at least 4.75 EUR" in found


def test_minutes_by_step_are_drawn_with_their_unit(floor, timed):
    page = floor.get(address(timed)).content.decode().replace("\xa0", " ")
    assert page.count("ranges-bar") == 2
    assert "<title>Heat: 20.0 min</title>" in page


def test_a_run_of_which_nothing_is_known_says_so(floor, operator):
    found = text(floor.get(address(make_run(operator))))
    assert "Sum not known" in found
    assert "so far" in found


def test_the_meter_is_noted_on_the_page(floor, operator, key):
    run = make_old_run(operator)
    sent = {"key": key, "what": "used", "kwh": "2,5"}
    assert floor.post(meter(run), sent).headers["Location"] == address(run)
    assert "Used 2.500 kWh metered" in text(floor.get(address(run)))


def test_what_is_refused_is_shown_as_typed(floor, operator, key):
    run = make_old_run(operator)
    answer = floor.post(meter(run), {"key": key, "what": "end", "kwh": "12.5"})
    assert answer.status_code == 422
    assert 'value="12.5"' in answer.content.decode()
    assert "The meter was not read at the start" in text(answer)
    assert not Metering.objects.exists()


def test_an_auditor_reads_and_notes_nothing(reader, operator, key):
    run = make_old_run(operator)
    assert meter(run) not in reader.get(address(run)).content.decode()
    assert reader.post(meter(run), {"key": key}).status_code == 403


def test_an_abandoned_run_takes_no_meter(floor, operator):
    run = make_old_run(operator)
    abandon_run(run=run, act=make_act(operator, "no power"))
    assert meter(run) not in floor.get(address(run)).content.decode()


def test_the_run_leads_there(floor, operator):
    run = make_run(operator)
    assert address(run) in floor.get(run.get_absolute_url()).content.decode()
