"""Sources over the API."""

import pytest

from inventory.models import Source
from tests.factories.api import send
from tests.factories.inventory import SourceFactory

pytestmark = pytest.mark.django_db


def test_a_source_is_added(api_client):
    answer = send(api_client, "sources/", name="A school", role="household").json()
    assert Source.objects.get(pk=answer["id"]).role == "household"


def test_a_name_is_given_once(api_client):
    answer = send(api_client, "sources/", name=SourceFactory(name="Yard").name.lower())
    assert (answer.status_code, answer.json()["code"]) == (422, "name-taken")
    assert Source.objects.count() == 1


def test_sources_are_narrowed(api_client):
    SourceFactory(name="Old", is_active=False)
    SourceFactory(name="New")
    answer = api_client.get("/api/sources/?is_active=true&role=collector&ordering=name").json()
    assert [row["name"] for row in answer["results"]] == ["New"]


def test_the_list_asks_the_same_for_any_length(api_client, django_assert_max_num_queries):
    SourceFactory.create_batch(6)
    with django_assert_max_num_queries(3):
        assert len(api_client.get("/api/sources/").json()["results"]) == 6
