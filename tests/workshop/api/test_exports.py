"""Exports over the API: media types and refusals."""

import json

import pytest
from prov.model import ProvDocument

from inventory.calculations.epcis_lint import lint
from products.models import Part
from tests.factories.exports import make_history

pytestmark = pytest.mark.django_db
KINDS = {
    "epcis": "application/ld+json",
    "prov-json": "application/provenance+json",
    "prov-n": "text/provenance-notation",
}
TIME = {"since": "2020-01-01", "until": "2090-01-01"}


@pytest.fixture
def history(lead):
    make_history(lead)


def content(answer) -> str:
    return b"".join(answer.streaming_content).decode()


@pytest.mark.parametrize(("kind", "media_type"), KINDS.items(), ids=KINDS)
def test_each_kind_comes_under_its_media_type(api_client, history, kind, media_type):
    answer = api_client.get(f"/api/exports/{kind}/", TIME, headers={"accept": media_type})
    assert answer.status_code == 200
    assert answer.headers["Content-Type"].split(";")[0] == media_type


@pytest.mark.parametrize("kind", KINDS)
def test_a_time_in_which_nothing_happened_is_a_document_still(api_client, history, kind):
    """A program asks on; only a person is told on the page."""
    asked = {"since": "2001-01-01", "until": "2001-01-31"}
    answer = api_client.get(f"/api/exports/{kind}/", asked)
    text = content(answer)
    assert answer.status_code == 200
    if kind == "epcis":
        assert lint(json.loads(text)) == []
        assert json.loads(text)["epcisBody"]["eventList"] == []
        assert json.loads(text)["ws:of"] == "2001-01-01 to 2001-01-31"


def test_a_trace_is_told_either_way(api_client, history):
    code = Part.objects.latest("pk").code
    back = api_client.get("/api/exports/epcis/", {"code": code})
    assert lint(json.loads(content(back))) == []
    forward = api_client.get("/api/exports/prov-json/", {"code": code, "direction": "forward"})
    ProvDocument.deserialize(content=content(forward), format="json")


@pytest.mark.parametrize(
    ("asked", "field"),
    [({"code": "nothing"}, "code"), ({"code": "D-1", "direction": "up"}, "direction")],
)
def test_what_cannot_be_told_is_refused(api_client, asked, field):
    answer = api_client.get("/api/exports/epcis/", asked)
    assert answer.status_code == 400
    assert field in answer.json()["fields"]
