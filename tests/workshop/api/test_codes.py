"""What a text means, over the API."""

import pytest

from tests.factories.inventory import make_full_bin
from tests.factories.workshop import make_run

pytestmark = pytest.mark.django_db


def test_a_code_is_told_with_the_page_it_leads_to(api_client, operator):
    bin, _lot = make_full_bin(operator, bin_fields={"name": "B-07"})
    assert api_client.get("/api/codes/", {"text": "b07"}).json() == {
        "text": "b07",
        "kind": "bin",
        "name": "B-07",
        "code": bin.code,
        "url": bin.get_absolute_url(),
        "fits": True,
        "sentence": "B-07 is a bin.",
    }


def test_a_code_at_a_run_leads_into_it(api_client, operator):
    run, (bin, _lot) = make_run(operator), make_full_bin(operator)
    found = api_client.get("/api/codes/", {"text": bin.code, "run": run.number}).json()
    assert found["url"] == f"/runs/{run.code}/load/?from={bin.code}"


def test_what_is_not_ours_is_told(api_client):
    answer = api_client.get("/api/codes/", {"text": "https://elsewhere.example"})
    assert answer.status_code == 200
    assert answer.json()["kind"] == ""
    assert "elsewhere.example" in answer.json()["sentence"]


@pytest.mark.parametrize("query", ["", "text=%00", "text=x&run=%00&stage=%00&kind=%FF&round=%F0"])
def test_no_question_is_a_fault(query, api_client):
    assert api_client.get(f"/api/codes/?{query}").status_code == 200
