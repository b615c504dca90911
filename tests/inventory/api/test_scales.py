"""Scales over the API."""

import pytest

from tests.factories.inventory import ScaleFactory

pytestmark = pytest.mark.django_db


def test_scales_in_use_are_found(api_client):
    ScaleFactory(is_in_use=False)
    scale = ScaleFactory()
    answer = api_client.get("/api/scales/?is_in_use=true&ordering=-capacity_mg").json()
    assert [row["name"] for row in answer["results"]] == [scale.name]
    assert answer["results"][0]["resolution_mg"] == 10_000
