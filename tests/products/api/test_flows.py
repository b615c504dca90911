"""The mass flows over the API."""

import pytest
from django.utils import timezone

from inventory.calculations.periods import year_of
from products.actions.fixings import put_in
from products.actions.parts import hand_over_part
from tests.factories.fixings import clip_design, made, stool_design
from tests.factories.flows import held_at, through_the_door
from tests.factories.inventory import KG, make_act, make_delivery, make_full_bin
from tests.factories.workshop import make_part

pytestmark = pytest.mark.django_db
ADDRESS = "/api/flows/"


@pytest.fixture
def worked(operator):
    _bin, lot = make_full_bin(operator)
    make_part(operator, lot, 4 * KG)
    make_delivery(operator, colour="red")


def test_it_ties_to_the_replay(api_client, worked):
    year = year_of(timezone.localdate())
    found = api_client.get(ADDRESS, {"year": year.start.year}).json()
    ins, outs = through_the_door(year.start, year.end)
    assert (found["off_mg"], found["whole"]["ins"], found["whole"]["outs"]) == (0, ins, outs)
    assert found["whole"]["closing_mg"] == sum(held_at(year.end).values())
    assert sum(row["closing_mg"] for row in found["places"]) == found["whole"]["closing_mg"]
    assert sum(row["closing_mg"] for row in found["materials"]) == found["whole"]["closing_mg"]
    assert found["steps"][-1]["closing_mg"] == found["whole"]["closing_mg"]
    assert len(found["steps"]) == 12
    assert found["inside"] == {"loaded": 4 * KG, "part": 4 * KG}


def test_one_material_by_itself(api_client, worked):
    found = api_client.get(ADDRESS, {"polymer": "PE-HD", "colour": "red"}).json()
    assert [row["colour"] for row in found["materials"]] == ["red"]
    assert found["whole"]["ins"] == {"received": 10 * KG}


@pytest.mark.parametrize(
    ("asked", "field"),
    [
        ({"month": "2026-3"}, "month"),
        ({"moth": "2026-03"}, "moth"),
        ({"polymer": "gold", "colour": "blue"}, "polymer"),
    ],
)
def test_what_is_no_question_is_refused(api_client, asked, field):
    answer = api_client.get(ADDRESS, asked)
    assert answer.status_code == 400
    assert field in answer.json()["fields"]


def test_half_a_period_is_refused_in_a_sentence(api_client):
    answer = api_client.get(ADDRESS, {"start": "2026-03-01"})
    assert answer.status_code == 400
    assert answer.json()["detail"] == "Choose both days, from and to."


def test_what_is_in_a_product_in_use_counts(api_client, operator):
    clip = clip_design()
    stool = made(operator, stool_design(operator, clip), 4 * KG)
    put_in(holder=stool, part=made(operator, clip, KG), act=make_act(operator))
    hand_over_part(part=stool, act=make_act(operator))
    in_use = api_client.get(ADDRESS).json()["in_use"]
    assert (in_use["handed_over_mg"], in_use["closing_mg"]) == (5 * KG, 5 * KG)
    assert (in_use["changed_mg"], in_use["returned_mg"]) == (0, 0)
