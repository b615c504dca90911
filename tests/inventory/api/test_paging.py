"""Lists of the API lead on by `next` and `previous`, and count nothing."""

import pytest

from inventory.queries.keysets import LONGEST_CURSOR
from tests.factories.inventory import make_delivery

pytestmark = pytest.mark.django_db

LISTS = ["lots", "postings", "deliveries", "bins", "parts", "runs", "labels", "holds", "counts"]


def codes(answer):
    return [row["code"] for row in answer["results"]]


def test_following_next_tells_each_lot_once_while_others_are_written(api_client, operator):
    lots = [make_delivery(operator).code for _ in range(5)]
    answer = api_client.get("/api/lots/?page_size=2&ordering=opened_at&polymer=PE-HD").json()
    assert sorted(answer) == ["next", "previous", "results"]
    told = codes(answer)
    while answer["next"]:
        assert "polymer=PE-HD" in answer["next"]
        answer = api_client.get(answer["next"]).json()
        told += codes(answer)
        if len(told) < 5:
            lots.append(make_delivery(operator).code)
    assert told == lots
    before = api_client.get(answer["previous"]).json()
    assert len(codes(before)) == 2
    assert not {*codes(before)} & {*codes(answer)}


@pytest.mark.parametrize("name", LISTS)
@pytest.mark.parametrize("cursor", ["", "2", "forged:x", "%00", "x" * (LONGEST_CURSOR + 1)])
def test_a_forged_cursor_is_refused_in_a_sentence(api_client, name, cursor):
    answer = api_client.get(f"/api/{name}/?page={cursor}")
    assert answer.status_code == 400
    assert answer.json()["code"] == "invalid"
    assert "begin at its first page" in answer.json()["fields"]["page"][0]


def test_a_cursor_of_another_order_is_refused(api_client, operator):
    for _ in range(3):
        make_delivery(operator)
    answer = api_client.get("/api/lots/?page_size=1&ordering=opened_at").json()
    wrong = answer["next"].replace("ordering=opened_at", "ordering=in_mg")
    assert api_client.get(wrong).status_code == 400


def test_a_cursor_of_another_list_is_refused(api_client, operator):
    for _ in range(3):
        make_delivery(operator)
    first = api_client.get("/api/deliveries/?page_size=1").json()
    cursor = first["next"].partition("page=")[2].partition("&")[0]
    assert api_client.get(f"/api/deliveries/?page={cursor}").status_code == 200
    others = {name: api_client.get(f"/api/{name}/?page={cursor}") for name in LISTS}
    del others["deliveries"]
    assert {name: answer.status_code for name, answer in others.items()} == dict.fromkeys(
        others, 400
    )
