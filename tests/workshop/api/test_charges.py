"""Loads over the API."""

import pytest

from products.models import Part
from tests.factories.api import send
from tests.factories.inventory import KG, make_full_bin
from tests.factories.workshop import load, make_run, weigh_out
from workshop.models import Load

pytestmark = pytest.mark.django_db


@pytest.fixture
def sheets(operator):
    """A bag of four pieces, 8 kg in all."""
    _bin, lot = make_full_bin(operator)
    run = make_run(operator)
    run.design.tracked = "bag"
    run.design.save()
    load(run, lot, operator)
    weigh_out(run, operator, "part", 8 * KG, pieces=4)
    return Part.objects.get()


def test_some_pieces_of_a_part_are_loaded(api_client, operator, sheets):
    run = make_run(operator, "cut")
    body = {"part": sheets.code, "pieces": 3}
    answer = send(api_client, f"runs/{run.code}/loads/", **body).json()
    assert (answer["part"], answer["pieces"], answer["mass_mg"]) == (sheets.code, 3, 6 * KG)


def test_more_pieces_than_there_are_are_refused(api_client, operator, sheets):
    run = make_run(operator, "cut")
    answer = send(api_client, f"runs/{run.code}/loads/", part=sheets.code, pieces=5)
    assert (answer.status_code, answer.json()["code"]) == (422, "short")
    assert Load.objects.filter(charge__run=run).count() == 0


@pytest.mark.parametrize("name", ["lot", "bin"])
def test_a_load_names_its_charge(api_client, operator, name):
    bin, lot = make_full_bin(operator)
    run, where = make_run(operator), {"lot": lot.code, "bin": bin.name}
    answer = send(api_client, f"runs/{run.code}/loads/", mass_mg=KG, **{name: where[name]}).json()
    assert (answer["charge"], answer["source"], answer["run"]) == (1, lot.code, run.code)
    assert answer["posting"]["transfers"][0]["target"] == answer["charge_lot"]


def test_a_charge_that_is_not_there_is_refused(api_client, operator):
    _bin, lot = make_full_bin(operator)
    run = make_run(operator)
    answer = send(api_client, f"runs/{run.code}/loads/", lot=lot.code, charge=7)
    assert (answer.status_code, answer.json()["code"]) == (422, "no-charge")
    assert not Load.objects.exists()


@pytest.mark.parametrize(
    "change", [{}, {"lot": None}, {"pieces": 0}, {"charge": 0}, {"pieces": 1.5}]
)
def test_a_load_that_cannot_be_is_refused(api_client, operator, change):
    answer = send(api_client, f"runs/{make_run(operator).code}/loads/", **change)
    assert answer.status_code == 400
    assert not Load.objects.exists()


def test_what_is_left_is_carried_into_the_next_charge(api_client, operator):
    _bin, lot = make_full_bin(operator)
    run = make_run(operator)
    load(run, lot, operator)
    weigh_out(run, operator, "part", 4 * KG, pieces=1)
    answer = send(api_client, f"runs/{run.code}/carry/").json()
    assert (answer["charge"], answer["mass_mg"]) == (2, 6 * KG)
    assert answer["posting"]["transfers"][0]["role"] == "carried"
