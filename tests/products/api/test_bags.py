"""A bag gives some of its pieces, over the API."""

import pytest

from products.models import Part
from tests.factories.api import repeated, send
from tests.factories.cutting import cut_run, make_boards
from tests.factories.fixings import CLIP_MG, bag_of, clip_design, made, stool_design
from tests.kept import kept

pytestmark = pytest.mark.django_db


@pytest.fixture
@kept
def bag(operator):
    return bag_of(operator, clip_design(), 50)


def test_pieces_become_a_part_of_their_own(api_client, bag):
    first, again = repeated(api_client, f"parts/{bag.code}/divide/", pieces=2)
    body = first.json()
    assert (first.status_code, again.json()) == (201, body)
    assert (body["bag"], body["pieces"]) == (bag.code, 2)
    (transfer,) = body["posting"]["transfers"]
    assert (transfer["role"], transfer["mass_mg"]) == ("pieces", 2 * CLIP_MG)
    told = api_client.get(f"/api/parts/{body['part']}/").json()
    assert (told["bag"], told["run"], told["pieces_left"]) == (bag.code, bag.run_number, 2)


@pytest.mark.parametrize(("pieces", "code"), [(50, "pieces"), (0, "invalid"), ("2", "invalid")])
def test_refusals_carry_their_code(api_client, bag, pieces, code):
    answer = send(api_client, f"parts/{bag.code}/divide/", pieces=pieces)
    assert answer.status_code in {400, 422}
    assert answer.json()["code"] == code
    assert Part.objects.count() == 1


def test_a_bag_gives_pieces_into_a_product_and_they_come_out(api_client, bag, lead, operator):
    stool = made(operator, stool_design(lead, bag.design))
    put = send(api_client, f"parts/{stool.code}/put-in/", part=bag.code, pieces=2).json()
    assert Part.objects.get(code=put["part"]).pieces == 2
    first, again = repeated(api_client, f"parts/{put['part']}/take-out/", pieces=1, state="cracked")
    assert first.json() == again.json()
    assert Part.objects.get(code=first.json()["part"]).bag.code == put["part"]


def test_sheets_of_an_open_run_are_given_when_confirmed_and_told_whose_they_were(
    api_client, operator
):
    (bag,) = make_boards(operator, 1)
    bag.pieces = 4
    bag.save()
    run, where = cut_run(operator, (bag, 3)), f"parts/{bag.code}/divide/"
    free, again = repeated(api_client, where, pieces=1)
    assert (free.status_code, free.json()["taken_from"]) == (201, [])
    answer = send(api_client, where, pieces=1)
    assert (answer.status_code, answer.json()["code"]) == (422, "surprising")
    given, again = repeated(api_client, where, pieces=1, confirmed=True)
    assert given.json()["taken_from"] == [{"run": run.number, "pieces": 3}]
    assert again.json() == given.json()
