"""Lineages over the API: a look, the act, its refusals and what is told afterwards."""

from uuid import uuid4

import pytest

from tests.factories.api import client_of
from tests.factories.epcis import OTHER, blend
from tests.factories.inventory import SourceFactory

pytestmark = pytest.mark.django_db
FLAKE = f"{OTHER}/class/F1"


@pytest.fixture
def client(lead):
    SourceFactory(name="Coast workshop")
    return client_of(lead)


def body(**changes) -> dict:
    fields = {
        "uuid": str(uuid4()),
        "source": "Coast workshop",
        "delivered_on": "2026-03-09",
        "net_mg": 7_000_000,
        "polymer": "PP",
        "identified_by": "statement",
        "colour": "blue",
        "form": "flake",
        "document": blend(),
        "lot": FLAKE,
    }
    return fields | changes


def bring(client, **changes):
    return client.post("/api/lineages/", body(**changes), format="json")


def test_a_look_tells_the_shares_and_writes_nothing(client):
    answer = client.post("/api/lineages/look/", {"document": blend()}, format="json")
    told = answer.json()
    assert (answer.status_code, told["lot"], told["faults"]) == (200, FLAKE, [])
    shares = [(row["numerator"], row["denominator"]) for row in told["origins"]]
    assert shares == [(3, 4), (1, 4)]
    assert client.get("/api/deliveries/").json()["results"] == []


def test_faults_have_places_and_rules(client):
    unsound = blend()
    unsound["schemaVersion"] = "9"
    answer = client.post("/api/lineages/look/", {"document": unsound}, format="json")
    assert answer.json()["faults"][0]["pointer"] == "/schemaVersion"
    assert answer.json()["faults"][0]["rule"] == "schema-version"


def test_it_is_received_and_told_in_traces(client):
    answer = bring(client)
    code = answer.json()["code"]
    assert answer.status_code == 201
    told = client.get(f"/api/deliveries/{code}/lineage/").json()
    assert (told["foreign_id"], told["lots_behind"]) == (FLAKE, 3)
    abroad = client.get(f"/api/lots/{code}/origins/").json()["abroad"]
    assert [(row["source"], round(row["share"], 9)) for row in abroad] == [
        ("Coast", 0.75),
        ("Pellets", 0.25),
    ]
    assert client.get("/api/deliveries/0000000000000/lineage/").status_code == 404


def test_the_same_again_is_answered_as_the_first_time(client):
    first, again = bring(client).json(), bring(client).json()
    assert first == again


@pytest.mark.parametrize(
    ("changes", "status", "code"),
    [
        ({"lot": "nothing"}, 422, "document"),
        ({"document": {}}, 422, "document"),
        (
            {"document": {"type": "EPCISDocument", "epcisBody": {"eventList": [{}]}}},
            422,
            "document",
        ),
        ({"document": []}, 400, "invalid"),
        ({"polymer": "PE-HD"}, 422, "polymer-differs"),
    ],
)
def test_what_cannot_be_brought_is_refused(client, changes, status, code):
    answer = bring(client, **changes)
    assert (answer.status_code, answer.json()["code"]) == (status, code)


def test_conflicts_with_the_book_are_409(client):
    bring(client)
    answer = bring(client, net_mg=1_000_000)
    assert (answer.status_code, answer.json()["code"]) == (409, "already-received")
    forged = blend()
    forged["epcisBody"]["eventList"][1]["ilmd"]["ws:originClass"] = "post-consumer"
    answer = bring(client, document=forged)
    assert (answer.status_code, answer.json()["code"]) == (409, "content-changed")


def test_a_document_may_be_larger_than_other_bodies_but_not_endless(client):
    large = blend() | {"ws:note": ["x" * 900] * 1500}
    assert client.post("/api/lineages/look/", {"document": large}, format="json").status_code == 200
    huge = blend() | {"ws:note": ["x" * 900] * 6000}
    assert client.post("/api/lineages/look/", {"document": huge}, format="json").status_code == 413
