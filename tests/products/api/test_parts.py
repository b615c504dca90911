"""Parts over the API."""

import pytest

from products.models import Handover, Part
from tests.factories.api import repeated, send
from tests.factories.cutting import cut_run, make_boards
from tests.factories.inventory import KG, make_full_bin
from tests.factories.workshop import load, make_run, weigh_out

pytestmark = pytest.mark.django_db


@pytest.fixture
def part(operator):
    """One of three sheets of 3 kg."""
    _bin, lot = make_full_bin(operator)
    run = make_run(operator)
    load(run, lot, operator)
    weigh_out(run, operator, "part", 9 * KG, pieces=3)
    return Part.objects.earliest("pk")


def test_a_part_shows_its_design_run_and_mass(api_client, part):
    answer = api_client.get(f"/api/parts/{part.code}/").json()
    assert (answer["design"], answer["run"]) == (part.design.name, part.run_number)
    assert (answer["mark"], answer["held_mg"], answer["state"]) == (">PE-HD<", 3 * KG, "in-stock")


def test_a_part_is_handed_over_and_comes_back(api_client, part):
    send(api_client, f"parts/{part.code}/hand-over/", to="the library")
    assert api_client.get(f"/api/parts/{part.code}/").json()["state"] == "in-use"
    answer = send(api_client, f"parts/{part.code}/take-back/", state="worn").json()
    assert (answer["to"], answer["state_on_return"]) == ("the library", "worn")
    assert api_client.get(f"/api/parts/{part.code}/").json()["state"] == "in-stock"


def test_a_part_in_use_is_not_handed_over_again(api_client, part):
    send(api_client, f"parts/{part.code}/hand-over/")
    answer = send(api_client, f"parts/{part.code}/hand-over/")
    assert (answer.status_code, answer.json()["code"]) == (422, "in-use")
    assert Handover.objects.count() == 1


def test_parts_are_narrowed(api_client, part):
    send(api_client, f"parts/{part.code}/hand-over/")
    query = f"state=in-use&design={part.design.name}&polymer=PE-HD&search={part.code}"
    answer = api_client.get(f"/api/parts/?{query}").json()
    assert [row["code"] for row in answer["results"]] == [part.code]


def test_the_list_asks_the_same_for_any_length(api_client, part, django_assert_max_num_queries):
    with django_assert_max_num_queries(3):
        assert len(api_client.get("/api/parts/").json()["results"]) == 3


def test_a_sheet_of_an_open_run_is_handed_over_when_confirmed_and_told_whose_it_was(
    api_client, operator
):
    (board,) = make_boards(operator, 1)
    run, where = cut_run(operator, board), f"parts/{board.code}/hand-over/"
    answer = send(api_client, where, to="the school")
    assert (answer.status_code, answer.json()["code"]) == (422, "surprising")
    assert not Handover.objects.exists()
    gone, again = repeated(api_client, where, to="the school", confirmed=True)
    assert gone.json()["taken_from"] == [{"run": run.number, "pieces": 1}]
    assert again.json() == gone.json()
