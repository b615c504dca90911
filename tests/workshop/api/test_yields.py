"""Yields over the API."""

from uuid import uuid4

import pytest

from inventory.queries.lots import open_lot_in
from products.models import Part
from tests.factories.api import send
from tests.factories.inventory import KG, BinFactory, ScaleFactory, make_full_bin
from tests.factories.workshop import load, make_run
from workshop.models import Yield

pytestmark = pytest.mark.django_db


@pytest.fixture
def run(operator):
    """A press loaded with 10 kg."""
    _bin, lot = make_full_bin(operator)
    run = make_run(operator)
    load(run, lot, operator)
    return run


def test_parts_are_named_in_the_answer(api_client, run):
    made = {"kind": "part", "mass_each_mg": 2 * KG, "pieces": 3, "scale": ScaleFactory().name}
    made["confirmed"] = True
    answer = send(api_client, f"runs/{run.code}/yields/", **made).json()
    assert answer["parts"] == list(Part.objects.order_by("pk").values_list("code", flat=True))
    assert (answer["mass_mg"], answer["pieces"]) == (6 * KG, 3)


def test_offcuts_go_into_their_bin(api_client, run):
    bin = BinFactory()
    made = {"kind": "offcut", "mass_mg": KG, "bin": bin.name}
    answer = send(api_client, f"runs/{run.code}/yields/", **made).json()
    assert (answer["bin"], answer["parts"]) == (bin.code, [])
    assert open_lot_in(bin).held_mg == KG


def test_what_goes_into_no_bin_needs_a_reason(api_client, run):
    answer = send(api_client, f"runs/{run.code}/yields/", kind="dust", mass_mg=KG)
    assert (answer.status_code, answer.json()["code"]) == (422, "reason")
    assert not Yield.objects.exists()


@pytest.mark.parametrize(
    "made",
    [
        {"kind": "part"},
        {"kind": "part", "mass_mg": KG, "mass_each_mg": KG, "pieces": 1},
        {"kind": "part", "mass_each_mg": KG},
        {"kind": "part", "mass_each_mg": 10**14, "pieces": 1_000_000},
        {"kind": "part", "mass_mg": KG, "pieces": -1},
        {"kind": "part", "mass_mg": KG, "pieces": 10**9},
        {"kind": "part", "mass_mg": KG, "pieces": "3"},
        {"kind": "treasure", "mass_mg": KG},
    ],
)
def test_a_yield_that_cannot_be_is_refused(api_client, run, made):
    answer = send(api_client, f"runs/{run.code}/yields/", **made)
    assert answer.status_code == 400
    assert not Yield.objects.exists()


def test_parts_without_a_count_are_refused(api_client, run):
    answer = send(api_client, f"runs/{run.code}/yields/", kind="part", mass_mg=KG)
    assert (answer.status_code, answer.json()["code"]) == (422, "pieces")
    assert not Yield.objects.exists()


def test_a_surprising_figure_is_asked_back_until_it_is_confirmed(api_client, run):
    made = {"uuid": str(uuid4()), "kind": "part", "mass_mg": 400_000, "pieces": 1}
    answer = send(api_client, f"runs/{run.code}/yields/", **made)
    assert (answer.status_code, answer.json()["code"]) == (422, "surprising")
    assert "about 10 times that" in answer.json()["detail"]
    assert not Yield.objects.exists()
    answer = send(api_client, f"runs/{run.code}/yields/", **made, confirmed=True)
    assert (answer.status_code, answer.json()["mass_mg"]) == (201, 400_000)
