"""The export pages: what can be chosen, and the file that comes."""

import json
from datetime import timedelta

import pytest
from django.urls import reverse
from django.utils import timezone
from prov.model import ProvDocument

from inventory.calculations.epcis_lint import lint
from products.models import Part
from tests.factories.exports import make_history
from workshop.models import Run

pytestmark = [pytest.mark.django_db, pytest.mark.one_database]
ADDRESS = reverse("workshop:export-document")


@pytest.fixture
def history(lead):
    make_history(lead)


def fetched(client, **asked):
    answer = client.get(ADDRESS, {"kind": "epcis", "direction": "back"} | asked)
    return answer, b"".join(answer.streaming_content).decode() if answer.streaming else ""


def test_a_part_is_told_as_epcis(floor, history):
    answer, text = fetched(floor, code=Part.objects.latest("pk").code)
    assert answer.headers["Content-Type"] == "application/ld+json"
    assert answer.headers["Content-Disposition"].endswith('-epcis.jsonld"')
    assert lint(json.loads(text)) == []


def test_a_run_is_told_with_all_that_was_posted_for_it(reader, history):
    run = Run.objects.latest("pk")
    _answer, text = fetched(reader, code=run.number)
    papers = [
        event.get("bizTransactionList") for event in json.loads(text)["epcisBody"]["eventList"]
    ]
    assert any(run.number in str(paper) for paper in papers)
    assert lint(json.loads(text)) == []


def test_days_are_told_as_prov(desk, history):
    answer, text = fetched(desk, since="2020-01-01", until="2090-01-01", kind="prov-json")
    assert answer.headers["Content-Type"] == "application/provenance+json"
    assert list(ProvDocument.deserialize(content=text, format="json").get_records())
    answer, text = fetched(desk, since="2020-01-01", until="2090-01-01", kind="prov-n")
    assert answer.headers["Content-Type"].startswith("text/provenance-notation")
    assert text.startswith("document")


def test_a_time_is_called_by_its_first_and_its_last_day(desk, history):
    """The last day is in it, so the day after it names nothing."""
    today = timezone.localdate()
    asked = {"since": f"{today - timedelta(days=400)}", "until": f"{today}"}
    for kind in ("epcis", "prov-json", "prov-n"):
        answer, text = fetched(desk, **asked, kind=kind)
        assert f"{asked['since']}-to-{today}-{kind}." in answer.headers["Content-Disposition"]
        assert f"{today + timedelta(days=1)}" not in text[:2000]


def test_a_time_in_which_nothing_happened_is_said_to_be_empty(desk, history):
    answer, _text = fetched(desk, since="2001-01-01", until="2001-01-31")
    assert answer.status_code == 422
    assert "Nothing happened in the workshop on these days" in answer.content.decode()
    assert 'value="2001-01-31"' in answer.content.decode()


def test_the_report_leads_to_the_export_of_its_days(desk, history):
    shown = desk.get(reverse("products:flow-report"), {"start": "2026-01-01", "end": "2026-01-31"})
    link = reverse("workshop:export-choose") + "?since=2026-01-01&amp;until=2026-01-31"
    assert link in shown.content.decode()
    assert 'value="2026-01-31"' in desk.get(link.replace("&amp;", "&")).content.decode()


@pytest.mark.parametrize(
    "asked",
    [
        {},
        {"code": "nothing here"},
        {"code": "\x00"},
        {"since": "2026-01-01"},
        {"since": "2026-01-02", "until": "2026-01-01"},
        {"since": "2026-01-01", "until": "9999-12-31"},
        {"since": "2026-01-01", "until": "9999-12-30"},
        {"since": "0001-01-01", "until": "2026-01-01"},
        {"code": "D-1", "since": "2026-01-01", "until": "2026-01-02"},
        {"code": "D-1", "kind": "xml"},
    ],
)
def test_what_cannot_be_told_is_refused_on_the_page(floor, asked, settings):
    settings.TIME_ZONE = "Pacific/Auckland"  # where the year 1 begins before the year 1
    answer, _text = fetched(floor, **asked)
    assert answer.status_code == 422
    assert b'role="alert"' in answer.content or b"errorlist" in answer.content


@pytest.mark.parametrize(
    "page", ["inventory:trace", "inventory:lot-detail", "products:part-detail"]
)
def test_pages_lead_to_the_export(floor, history, page):
    code = Part.objects.latest("pk").code
    link = f"{reverse('workshop:export-choose')}?code={code}"
    assert link in floor.get(reverse(page, args=[code]), follow=True).content.decode()


def test_the_form_is_filled_from_where_one_comes(floor):
    page = floor.get(reverse("workshop:export-choose"), {"code": "R-0001"}).content.decode()
    assert 'value="R-0001"' in page
