"""The route of a design over the API."""

import pytest

from products.models import Design
from tests.factories.api import client_of, repeated, send
from tests.factories.workshop import DesignFactory

pytestmark = pytest.mark.django_db


@pytest.fixture
def design():
    return DesignFactory(made_by="press")


@pytest.fixture
def desk_client(lead):
    return client_of(lead)


def test_a_route_is_set_and_read(desk_client, design):
    route = [{"work": "granulate", "note": "8 mm"}, {"work": "press", "note": ""}]
    first, second = repeated(desk_client, f"designs/{design.pk}/route/", route=route)
    assert (first.status_code, first.json()) == (201, second.json())
    assert desk_client.get(f"/api/designs/{design.pk}/route/").json()["route"] == route


def test_a_route_without_what_makes_it_is_refused(desk_client, design):
    answer = send(desk_client, f"designs/{design.pk}/route/", route=[{"work": "cut"}])
    assert (answer.status_code, answer.json()["code"]) == (422, "route")
    assert Design.objects.get().route == []


@pytest.mark.parametrize("route", [[{"work": "bake"}], [{"note": "x"}], "press", [{"work": 3}]])
def test_what_is_no_route_is_refused(desk_client, design, route):
    assert send(desk_client, f"designs/{design.pk}/route/", route=route).status_code == 400
