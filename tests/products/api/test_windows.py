"""The windows of a design over the API."""

import pytest

from products.models import Window
from tests.factories.api import client_of, repeated, send
from tests.factories.workshop import DesignFactory

pytestmark = pytest.mark.django_db


@pytest.fixture
def design():
    return DesignFactory(made_by="inject", form="part")


@pytest.fixture
def desk_client(lead):
    return client_of(lead)


def test_windows_are_set_and_read(desk_client, design):
    windows = [{"quantity": "melt", "low": "190", "high": "230.5"}]
    first, second = repeated(desk_client, f"designs/{design.pk}/windows/", windows=windows)
    assert (first.status_code, first.json()) == (201, second.json())
    found = desk_client.get(f"/api/designs/{design.pk}/windows/").json()["windows"]
    assert found == [{"quantity": "melt", "low": "190.00", "high": "230.50"}]


def test_a_window_without_an_end_is_refused(desk_client, design):
    answer = send(desk_client, f"designs/{design.pk}/windows/", windows=[{"quantity": "melt"}])
    assert (answer.status_code, answer.json()["code"]) == (422, "window")
    assert not Window.objects.exists()


def test_a_field_that_does_not_exist_is_refused(desk_client, design):
    windows = [{"quantity": "melt", "lowest": "190"}]
    answer = send(desk_client, f"designs/{design.pk}/windows/", windows=windows)
    assert answer.status_code == 400
