"""The limit of melt passes of a design over the API."""

import pytest

from products.models import Design
from tests.factories.api import client_of, repeated, send
from tests.factories.workshop import DesignFactory

pytestmark = pytest.mark.django_db


@pytest.fixture
def design():
    return DesignFactory()


@pytest.fixture
def desk_client(lead):
    return client_of(lead)


def path(design):
    return f"designs/{design.pk}/pass-limit/"


def test_a_limit_is_set_and_read(desk_client, design):
    first, second = repeated(desk_client, path(design), times=3, most_percent=20)
    assert (first.status_code, first.json()) == (201, second.json())
    found = desk_client.get(f"/api/{path(design)}").json()
    assert (found["times"], found["most_percent"]) == (3, 20)


def test_null_takes_it_away(desk_client):
    design = DesignFactory(passes_from=3, passes_most_percent=20)
    assert send(desk_client, path(design), times=None, most_percent=None).status_code == 201
    assert Design.objects.get().pass_limit is None


@pytest.mark.parametrize(
    "sent", [{"times": 3, "most_percent": None}, {"times": 0, "most_percent": 20}, {"times": 3}]
)
def test_half_a_limit_is_refused(desk_client, design, sent):
    assert send(desk_client, path(design), **sent).status_code == 400
    assert Design.objects.get().pass_limit is None


def test_an_operator_sets_none(operator, design):
    assert send(client_of(operator), path(design), times=3, most_percent=20).status_code == 403
