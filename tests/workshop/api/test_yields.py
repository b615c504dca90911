"""Yields over the API."""

from uuid import uuid4

import pytest

from inventory.queries.lots import open_lot_in
from products.models import Part
from tests.factories.api import send
from tests.factories.inventory import KG, BinFactory, ScaleFactory, make_full_bin
from tests.factories.workshop import DesignFactory, load, make_part, make_run
from tests.kept import kept
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


@pytest.fixture
@kept
def cut(operator):
    """A cut run loaded with a sheet of 1000 x 500 mm and 4 kg."""
    design = DesignFactory(name="Board", length_um=1_000_000, width_um=500_000)
    run = make_run(operator, "cut")
    load(run, make_part(operator, make_full_bin(operator)[1], 4 * KG, design).lot, operator)
    return run


def test_a_kept_piece_has_a_size_in_mm(api_client, cut):
    sent = {"kind": "kept", "mass_mg": 2 * KG, "pieces": 1, "length_mm": "500", "width_mm": 500}
    answer = send(api_client, f"runs/{cut.code}/yields/", **sent).json()
    part = api_client.get(f"/api/parts/{answer['parts'][0]}/").json()
    assert (part["design"], part["size"]) == (
        "Board",
        {"length_mm": "500.000", "width_mm": "500.000"},
    )


@pytest.mark.parametrize(
    ("more", "status", "code"),
    [
        ({}, 422, "size"),
        ({"length_mm": 500}, 400, "invalid"),
        ({"length_mm": 2000, "width_mm": 500}, 422, "size"),
        ({"length_mm": 500, "width_mm": 500, "sheet": "nothing"}, 400, "invalid"),
        ({"length_mm": "NaN", "width_mm": 500}, 400, "invalid"),
        ({"length_mm": 1e300, "width_mm": 500}, 400, "invalid"),
    ],
)
def test_a_kept_piece_without_a_sound_size_is_refused(api_client, cut, more, status, code):
    sent = {"kind": "kept", "mass_mg": 2 * KG, "pieces": 1} | more
    answer = send(api_client, f"runs/{cut.code}/yields/", **sent)
    assert (answer.status_code, answer.json()["code"]) == (status, code)
    assert not Yield.objects.filter(charge__run=cut).exists()
