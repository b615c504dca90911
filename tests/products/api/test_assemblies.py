"""The parts list of a design over the API."""

import pytest

from products.models import Item
from tests.factories.api import client_of, repeated, send
from tests.factories.workshop import DesignFactory

pytestmark = pytest.mark.django_db
BOLT = {"count": 4, "bought": "screw", "bought_name": "bolt"}


@pytest.fixture
def stool():
    DesignFactory(name="Leg")
    return DesignFactory(name="Stool")


@pytest.fixture
def desk_client(lead):
    return client_of(lead)


def test_a_list_is_set_and_read(desk_client, stool):
    sent = {
        "items": [{"count": 3, "component": "Leg"}, BOLT],
        "joints": [{"kind": "screw", "first_line": 0, "second_line": 1, "minutes": "2.5"}],
    }
    path = f"designs/{stool.pk}/parts-list/"
    first, second = repeated(desk_client, path, **sent)
    assert (first.status_code, first.json()) == (201, second.json())
    found = desk_client.get(f"/api/{path}").json()
    assert [item["component"] for item in found["items"]] == ["Leg", None]
    assert found["joints"][0]["minutes"] == "2.5"
    assert (found["apart"]["answer"], found["apart"]["minutes"]) == ("after", "2.5")


@pytest.mark.parametrize(
    ("sent", "code"),
    [
        ({"items": [{"component": "Stool"}], "joints": []}, "cycle"),
        ({"items": [{"count": 2}], "joints": []}, "parts-list"),
        (
            {"items": [], "joints": [{"kind": "glue", "first_line": 0, "second_line": 1}]},
            "joint",
        ),
    ],
)
def test_what_the_rules_refuse_is_refused_with_its_code(desk_client, stool, sent, code):
    answer = send(desk_client, f"designs/{stool.pk}/parts-list/", **sent)
    assert (answer.status_code, answer.json()["code"]) == (422, code)
    assert not Item.objects.exists()


@pytest.mark.parametrize(
    "items", [[{"component": "Nothing"}], [{"bolts": 3}], [BOLT] * 13, [BOLT | {"count": "4"}], 3]
)
def test_what_is_no_list_is_refused(desk_client, stool, items):
    answer = send(desk_client, f"designs/{stool.pk}/parts-list/", items=items, joints=[])
    assert answer.status_code == 400
    assert not Item.objects.exists()
