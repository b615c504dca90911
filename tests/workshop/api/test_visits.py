"""Visits over the API: the same acts, and no name in any answer."""

from uuid import uuid4

import pytest

from products.models import Part
from tests.factories.inventory import make_full_bin
from tests.factories.visits import make_token_design, make_visit, visit_with_pieces
from tests.factories.workshop import MachineFactory

pytestmark = pytest.mark.django_db


def post(client, path, **fields):
    return client.post(f"/api/visits/{path}", {"uuid": str(uuid4()), **fields}, format="json")


def test_a_whole_visit_goes_over_the_api(api_client, operator):
    bin, lot = make_full_bin(operator)
    design, machine = make_token_design(), MachineFactory(kind="injection")
    visit = post(api_client, "", design=design.name, machine=machine.name).data["id"]
    post(api_client, f"{visit}/pieces/", lot=lot.code)
    code = post(api_client, f"{visit}/pieces/end/").data["code"]
    drawn = [{"bin": bin.code, "left_mg": 10_980_000}]
    answer = post(api_client, f"{visit}/settle/", drawn=drawn)
    assert answer.status_code == 201
    assert Part.objects.get(code=code).lot.in_mg == 20_000


def test_a_start_is_taken_back(api_client, operator):
    _bin, lot = make_full_bin(operator)
    visit = make_visit(operator)
    post(api_client, f"{visit.pk}/pieces/", lot=lot.code)
    assert post(api_client, f"{visit.pk}/pieces/undo/").status_code == 201
    assert api_client.get(f"/api/visits/{visit.pk}/").data["running"] is None


def test_an_impossible_mass_is_refused_with_its_code(api_client, operator):
    visit, lot = visit_with_pieces(operator, 3)
    answer = post(
        api_client, f"{visit.pk}/settle/", drawn=[{"bin": lot.bin.code, "mass_mg": 1_000}]
    )
    assert (answer.status_code, answer.data["code"]) == (422, "too-little")


def test_a_visit_is_abandoned_with_a_reason(api_client, operator):
    visit = make_visit(operator)
    assert post(api_client, f"{visit.pk}/abandon/").data["code"] == "reason"
    assert post(api_client, f"{visit.pk}/abandon/", reason="rain").status_code == 201


def test_a_label_carries_a_name_that_no_answer_tells(api_client, operator):
    visit, _lot = visit_with_pieces(operator, 1)
    path = f"/api/visits/{visit.pk}/pieces/{visit.pieces.get().code}/label/"
    answer = api_client.post(path, {"name": "Quillon"}, format="json")
    assert answer.content.startswith(b"%PDF")
    for told in (f"/api/visits/{visit.pk}/", "/api/visits/"):
        assert "Quillon" not in str(api_client.get(told).data)
