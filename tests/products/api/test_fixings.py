"""Putting parts together over the API."""

import pytest

from products.models import Fixing
from tests.factories.api import repeated, send
from tests.factories.cutting import cut_run, make_boards
from tests.factories.fixings import bag_of, clip_design, made, stool_design
from tests.kept import kept

pytestmark = pytest.mark.django_db


@pytest.fixture
@kept
def stool(lead, operator):
    return made(operator, stool_design(lead, clip_design()))


@pytest.fixture
@kept
def loose(operator, stool):
    return made(operator, stool.design.items.first().component)


def test_a_part_goes_in_and_comes_out(api_client, stool, loose):
    answer = send(api_client, f"parts/{stool.code}/put-in/", part=loose.code)
    body = answer.json()
    assert answer.status_code == 201
    assert (body["holder"], body["part"], body["line"]) == (stool.code, loose.code, 1)
    assert api_client.get(f"/api/parts/{loose.code}/").json()["held_in"] == stool.code
    assert api_client.get(f"/api/parts/{loose.code}/").json()["state"] == "in-product"
    body = send(api_client, f"parts/{loose.code}/take-out/", state="worn").json()
    assert (body["state_when_taken_out"], body["change"]["verb"]) == ("worn", "take out")
    assert api_client.get(f"/api/parts/{loose.code}/").json()["held_in"] is None


def test_what_it_holds_lacks_and_held_is_told(api_client, stool, loose):
    send(api_client, f"parts/{stool.code}/put-in/", part=loose.code)
    told = api_client.get(f"/api/parts/{stool.code}/fixings/").json()
    assert [(row["part"], row["mark"], row["pieces"]) for row in told["holds"]] == [
        (loose.code, ">PE-HD<", 1)
    ]
    assert told["missing"] == [{"line": 1, "design": "Clip", "pieces": 2}]
    send(api_client, f"parts/{loose.code}/take-out/", state="worn")
    told = api_client.get(f"/api/parts/{stool.code}/fixings/").json()
    assert told["holds"] == []
    assert [row["state_when_taken_out"] for row in told["history"]] == ["worn"]
    assert [row["is_undone"] for row in told["history"]] == [False]


@pytest.mark.parametrize(
    ("more", "code"), [({}, "fixed"), ({"line": 2}, "fixed"), ({"line": 0}, "invalid")]
)
def test_refusals_carry_their_code(api_client, stool, loose, more, code):
    send(api_client, f"parts/{stool.code}/put-in/", part=loose.code)
    answer = send(api_client, f"parts/{stool.code}/put-in/", part=loose.code, **more)
    assert answer.status_code in {400, 422}
    assert answer.json()["code"] == code
    assert Fixing.objects.count() == 1


def test_a_line_of_something_else_is_refused(api_client, stool, loose):
    answer = send(api_client, f"parts/{stool.code}/put-in/", part=loose.code, line=2)
    assert (answer.status_code, answer.json()["code"]) == (422, "not-in-list")


def test_a_repeat_is_answered_the_same(api_client, stool, loose):
    first, again = repeated(api_client, f"parts/{stool.code}/put-in/", part=loose.code)
    assert (first.status_code, first.json()) == (again.status_code, again.json())
    first, again = repeated(api_client, f"parts/{loose.code}/take-out/", state="worn")
    assert first.json() == again.json()


def test_telling_asks_the_same_however_much_it_holds(
    api_client, stool, operator, django_assert_max_num_queries
):
    for _ in range(3):
        part = made(operator, stool.design.items.first().component)
        send(api_client, f"parts/{stool.code}/put-in/", part=part.code)
    with django_assert_max_num_queries(6):
        api_client.get(f"/api/parts/{stool.code}/fixings/")


def test_a_part_is_swapped_in_one_act(api_client, stool, loose, operator):
    broken = made(operator, loose.design)
    send(api_client, f"parts/{stool.code}/put-in/", part=broken.code)
    body = {"new": loose.code, "state": "the hook broke"}
    first, again = repeated(api_client, f"parts/{broken.code}/swap/", **body)
    told = first.json()
    assert (first.status_code, again.json()) == (201, told)
    assert (told["holder"], told["part"], told["out"]) == (stool.code, loose.code, broken.code)
    assert api_client.get(f"/api/parts/{broken.code}/").json()["state"] == "in-stock"


def test_some_pieces_are_swapped_and_what_came_out_is_named(api_client, stool, loose, operator):
    several, bag = (bag_of(operator, loose.design, count) for count in (3, 9))
    send(api_client, f"parts/{stool.code}/put-in/", part=several.code)
    body = {"new": bag.code, "state": "broken", "pieces": 1}
    first, again = repeated(api_client, f"parts/{several.code}/swap/", **body)
    told = first.json()
    assert again.json() == told
    assert api_client.get(f"/api/parts/{told['out']}/").json()["bag"] == several.code
    assert api_client.get(f"/api/parts/{told['part']}/").json()["bag"] == bag.code


def test_a_swap_says_what_is_wrong(api_client, stool, loose):
    send(api_client, f"parts/{stool.code}/put-in/", part=loose.code)
    answer = send(api_client, f"parts/{loose.code}/swap/", new=loose.code, state="")
    assert (answer.status_code, answer.json()["code"]) == (400, "invalid")


def test_a_sheet_of_an_open_run_is_put_in_when_confirmed_and_told_whose_it_was(
    api_client, lead, operator
):
    (board,) = make_boards(operator, 1)
    run, stool = cut_run(operator, board), made(operator, stool_design(lead, board.design))
    where = f"parts/{stool.code}/put-in/"
    answer = send(api_client, where, part=board.code)
    assert (answer.status_code, answer.json()["code"]) == (422, "surprising")
    assert not Fixing.objects.exists()
    put, again = repeated(api_client, where, part=board.code, confirmed=True)
    assert put.json()["taken_from"] == [{"run": run.number, "pieces": 1}]
    assert again.json() == put.json()


def test_of_a_bag_of_sheets_only_what_an_open_run_misses_is_told(api_client, lead, operator):
    (bag,) = make_boards(operator, 1)
    bag.pieces = 4
    bag.save()
    run, stool = cut_run(operator, (bag, 2)), made(operator, stool_design(lead, bag.design))
    where = f"parts/{stool.code}/put-in/"
    free = send(api_client, where, part=bag.code, pieces=2)
    assert free.json()["taken_from"] == []
    assert send(api_client, where, part=bag.code, pieces=1).json()["code"] == "surprising"
    put, again = repeated(api_client, where, part=bag.code, pieces=1, confirmed=True)
    assert put.json()["taken_from"] == [{"run": run.number, "pieces": 2}]
    assert again.json() == put.json()


def test_a_swap_asks_back_a_sheet_of_an_open_run_and_tells_whose_it_was(api_client, lead, operator):
    old, new = make_boards(operator)
    stool = made(operator, stool_design(lead, old.design))
    assert send(api_client, f"parts/{stool.code}/put-in/", part=old.code).status_code == 201
    run, where = cut_run(operator, new), f"parts/{old.code}/swap/"
    body = {"new": new.code, "state": "cracked"}
    assert send(api_client, where, **body).json()["code"] == "surprising"
    swapped, again = repeated(api_client, where, **body, confirmed=True)
    assert swapped.json()["taken_from"] == [{"run": run.number, "pieces": 1}]
    assert again.json() == swapped.json()
