"""Audit files over the API: the same act, the same refusals, the same files."""

from uuid import uuid4

import pytest
from django.utils import timezone

from tests.factories.api import client_of, repeated, send
from tests.factories.audits import make_story
from workshop.models import AuditFile
from workshop.queries.audits import audit_paper, audit_zip

pytestmark = pytest.mark.django_db


@pytest.fixture
def story(operator, lead):
    return make_story(operator, lead)


def test_a_repeat_is_answered_as_the_first_time(auditor, story):
    first, again = repeated(client_of(auditor), "audits/", kind="lot", subject=story.part.code)
    assert first.status_code == 201
    assert first.json() == again.json()
    assert first.json()["change"]["verb"] == "audit"
    assert AuditFile.objects.count() == 1


def test_the_files_are_those_of_the_pages(auditor, story):
    client = client_of(auditor)
    made = send(client, "audits/", kind="run", subject=story.run.number).json()
    row = AuditFile.objects.get()
    assert client.get(made["paper"]).content == audit_paper(row)
    assert client.get(made["data"]).getvalue() == b"".join(audit_zip(row))
    assert client.get(f"/api/audits/{made['uuid']}/").json()["question"] == row.question
    assert client.get("/api/audits/").json()["results"][0]["number"] == row.number


def test_a_period_is_asked_by_its_days(auditor, story):
    today = str(timezone.localdate())
    made = send(client_of(auditor), "audits/", kind="period", since=today, until=today)
    assert made.status_code == 201
    assert made.json()["subject"] == ""


def test_an_operator_makes_none(api_client, story):
    assert send(api_client, "audits/", kind="lot", subject=story.part.code).status_code == 403


@pytest.mark.parametrize(
    ("body", "status", "code"),
    [
        ({"kind": "lot", "subject": "nothing"}, 400, "invalid"),
        ({"kind": "lot"}, 400, "invalid"),
        ({"kind": "planet", "subject": "x"}, 400, "invalid"),
        ({"kind": "design", "subject": "x\x00"}, 400, "invalid"),
        ({"kind": "period"}, 422, "days"),
        ({"kind": "period", "since": "2026-02-01", "until": "2026-01-01"}, 422, "days"),
        ({"kind": "period", "since": "2026-02-01", "until": "9999-12-31"}, 422, "days"),
        ({"kind": "period", "since": "0001-01-01", "until": "2026-01-01"}, 422, "days"),
        ({"kind": "period", "since": "2001-01-01", "until": "2001-01-02"}, 422, "nothing"),
    ],
)
def test_what_is_refused_on_the_pages_is_refused_here(lead, story, body, status, code):
    answer = send(client_of(lead), "audits/", **body)
    assert (answer.status_code, answer.json()["code"]) == (status, code)
    assert not AuditFile.objects.exists()


def test_an_unknown_file_is_not_found(api_client):
    for end in ("", "paper.pdf", "data.zip"):
        assert api_client.get(f"/api/audits/{uuid4()}/{end}").status_code == 404
