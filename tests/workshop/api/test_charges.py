"""Loads over the API."""

import pytest

from products.models import Part
from tests.factories.api import repeated, send
from tests.factories.cutting import cut_run, make_boards
from tests.factories.inventory import KG, ScaleFactory, make_full_bin
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


def test_a_bin_weighed_afterwards_gave_the_rest_of_its_book(api_client, operator):
    bin, lot = make_full_bin(operator, bin_fields={"tare_mg": 500_000})
    run, scale = make_run(operator), ScaleFactory(resolution_mg=10_000)
    body = {"bin": bin.name, "left_mg": 6_900_000, "scale": scale.name}
    answer = send(api_client, f"runs/{run.code}/loads/", **body).json()
    assert (answer["mass_mg"], answer["source"]) == (3_600_000, lot.code)


def test_a_tare_that_is_sent_counts_for_more_than_that_of_the_bin(api_client, operator):
    bin, _lot = make_full_bin(operator)
    body = {"bin": bin.name, "left_mg": 6 * KG, "tare_mg": 0}
    assert (
        send(api_client, f"runs/{make_run(operator).code}/loads/", **body).json()["mass_mg"]
        == 4 * KG
    )


@pytest.mark.parametrize(("left_mg", "code"), [(13 * KG, "over-book"), (500_000, "tare")])
def test_a_bin_that_cannot_weigh_so_much_or_little_is_refused(api_client, operator, left_mg, code):
    bin, _lot = make_full_bin(operator)
    answer = send(
        api_client, f"runs/{make_run(operator).code}/loads/", bin=bin.name, left_mg=left_mg
    )
    assert (answer.status_code, answer.json()["code"]) == (422, code)
    assert not Load.objects.exists()


def test_a_load_says_what_was_taken_or_what_is_left_and_not_both(api_client, operator):
    bin, _lot = make_full_bin(operator)
    body = {"bin": bin.name, "left_mg": 3 * KG, "mass_mg": KG}
    answer = send(api_client, f"runs/{make_run(operator).code}/loads/", **body)
    assert "left_mg" in answer.json()["fields"]
    assert not Load.objects.exists()


def test_a_surprising_load_is_asked_back_until_it_is_confirmed(api_client, operator):
    _bin, lot = make_full_bin(operator)
    where, body = f"runs/{make_run(operator).code}/loads/", {"lot": lot.code, "mass_mg": 4_000}
    answer = send(api_client, where, **body)
    assert (answer.status_code, answer.json()["code"]) == (422, "surprising")
    assert not Load.objects.exists()
    assert send(api_client, where, **body, confirmed=True).status_code == 201


def test_a_sheet_of_another_run_is_asked_back_and_then_told_whose_it_was(api_client, operator):
    (board,) = make_boards(operator, 1)
    first, other = cut_run(operator, board), make_run(operator, "cut")
    where, body = f"runs/{other.code}/loads/", {"part": board.code}
    answer = send(api_client, where, **body)
    assert (answer.status_code, answer.json()["code"]) == (422, "surprising")
    assert first.number in answer.json()["detail"]
    assert not Load.objects.filter(charge__run=other).exists()
    loaded, again = repeated(api_client, where, **body, confirmed=True)
    assert loaded.json()["taken_from"] == [{"run": first.number, "pieces": 1}]
    assert again.json() == loaded.json()
