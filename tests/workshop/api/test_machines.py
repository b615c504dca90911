"""Machines and tooling over the API."""

import pytest

from tests.factories.api import send
from tests.factories.inventory import polymer
from tests.factories.workshop import MachineFactory, ToolingFactory
from workshop.models import Purge

pytestmark = pytest.mark.django_db


def test_a_purged_machine_forgets_its_polymer(api_client):
    machine = MachineFactory(last_polymer=polymer("PP"))
    answer = send(api_client, f"machines/{machine.pk}/purges/", reason="with PE-HD").json()
    machine.refresh_from_db()
    assert (answer["polymer"], answer["note"]) == ("PP", "with PE-HD")
    assert machine.last_polymer is None


def test_a_purge_says_how(api_client):
    answer = send(api_client, f"machines/{MachineFactory().pk}/purges/")
    assert (answer.status_code, answer.json()["code"]) == (422, "reason")
    assert not Purge.objects.exists()


def test_machines_are_narrowed(api_client):
    MachineFactory(kind="cutter")
    press = MachineFactory(kind="press", last_polymer=polymer("PP"))
    answer = api_client.get("/api/machines/?kind=press&retired=false").json()
    assert [(row["name"], row["last_polymer"]) for row in answer["results"]] == [(press.name, "PP")]


def test_tooling_is_narrowed(api_client):
    ToolingFactory(kind="die")
    mould = ToolingFactory(kind="mould")
    answer = api_client.get("/api/tooling/?kind=mould").json()
    assert [row["name"] for row in answer["results"]] == [mould.name]


def test_the_list_asks_the_same_for_any_length(api_client, django_assert_max_num_queries):
    MachineFactory.create_batch(6, last_polymer=polymer("PP"))
    with django_assert_max_num_queries(3):
        assert len(api_client.get("/api/machines/").json()["results"]) == 6
