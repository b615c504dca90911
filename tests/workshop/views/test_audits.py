"""Pages of audit files: asking, refusals with what was typed kept, the files, and the script for everybody."""

from datetime import timedelta
from io import BytesIO
from urllib.parse import quote
from zipfile import ZipFile

import pypdfium2
import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from inventory.queries.lots import open_lot_in
from tests.factories.audits import make_audit, make_story
from tests.factories.inventory import make_full_bin
from workshop.models import AuditFile
from workshop.queries.audits import paper_line
from workshop.views.audits import SCRIPT

pytestmark = pytest.mark.django_db

NEW, ALL = reverse("workshop:audit-create"), reverse("workshop:audit-list")


@pytest.fixture
def story(operator, lead):
    return make_story(operator, lead)


def typed(key, about="", **more):
    return {"key": key, "about": about, "since": "", "until": "", "kind": "", "reason": ""} | more


def test_the_list_says_what_audit_files_are_for_when_there_is_none(floor):
    shown = floor.get(ALL).content.decode()
    assert "No audit file yet" in shown
    assert "Make an audit file" not in shown


@pytest.mark.parametrize("browser", ["desk", "reader"])
def test_lead_and_auditor_make_one_and_see_it(browser, request, story, key):
    browser = request.getfixturevalue(browser)
    answer = browser.post(NEW, typed(key, story.part.code), follow=True)
    shown = answer.content.decode()
    made = AuditFile.objects.get()
    assert f"{made.number} is made." in shown
    assert "What does part " in shown
    assert f"{made.number}.zip {paper_line(made)}" in shown
    assert "SIZE:ROOT:FINGERPRINT, as on the cover" in shown
    assert made.question in browser.get(ALL).content.decode()


def test_an_operator_reads_them_and_makes_none(floor, story, lead, key):
    made = make_audit(lead, "lot", story.part.code)
    assert floor.get(made.get_absolute_url()).status_code == 200
    assert floor.get(NEW).status_code == 403
    assert floor.post(NEW, typed(key, story.part.code)).status_code == 403
    assert AuditFile.objects.count() == 1


@pytest.mark.parametrize(
    ("about", "kind", "subject"),
    [
        (lambda story: f"https://shop.example/q/{story.part.code}", "lot", lambda s: s.part.code),
        (lambda story: story.run.number, "run", lambda s: s.run.number),
        (lambda story: story.run.code, "run", lambda s: s.run.number),
        (lambda story: story.first.delivery.number, "lot", lambda s: s.first.code),
        (lambda story: "board 600", "design", lambda s: "Board 600"),
        (lambda story: "Market hall", "source", lambda s: "Market hall"),
    ],
)
def test_one_field_takes_whatever_is_scanned_or_typed(desk, story, key, about, kind, subject):
    desk.post(NEW, typed(key, about(story)))
    made = AuditFile.objects.get()
    assert (made.kind, made.subject) == (kind, subject(story))


def test_a_bin_stands_for_what_it_holds(desk, operator, key):
    bin, _lot = make_full_bin(operator)
    desk.post(NEW, typed(key, bin.name))
    assert AuditFile.objects.get().subject == open_lot_in(bin).code


def test_days_alone_ask_about_a_period(desk, story, key):
    today = timezone.localdate()
    days = {"since": str(today - timedelta(days=1)), "until": str(today)}
    desk.post(NEW, typed(key, **days))
    made = AuditFile.objects.get()
    assert (made.kind, made.subject, made.until) == ("period", "", today)


@pytest.mark.parametrize(
    ("fields", "sentence"),
    [
        ({"about": "no such thing"}, "Nothing here is called no such thing"),
        ({}, "Say from which day to which"),
        ({"since": "2026-02-01", "until": "2026-01-01"}, "exchange them"),
        ({"since": "2026-02-01", "until": "9999-12-31"}, "a day between 1900 and 2199"),
        ({"about": "R-0001", "since": "2026-02-01"}, "asked about as a whole"),
        ({"since": "2001-02-01", "until": "2001-03-01"}, "holds nothing of that yet"),
        ({"about": "x\x00y"}, "Leave out what cannot be printed"),
    ],
)
def test_what_is_refused_is_kept_and_says_what_to_do(desk, story, key, fields, sentence):
    about = fields.get("about", "").replace("R-0001", story.run.number)
    answer = desk.post(NEW, typed(key, **fields | {"about": about}))
    shown = answer.content.decode()
    assert answer.status_code == 422
    assert sentence in shown
    assert not AuditFile.objects.exists()
    for value in fields.values():
        assert value in shown or "\x00" in value or value == "R-0001"


def test_the_same_id_again_leads_to_the_same_file(desk, story, key):
    first = desk.post(NEW, typed(key, story.part.code))
    again = desk.post(NEW, typed(key, story.part.code))
    assert first.headers["Location"] == again.headers["Location"]
    assert AuditFile.objects.count() == 1


def test_the_paper_opens_as_a_pdf(reader, story, lead):
    made = make_audit(lead, "lot", story.part.code)
    answer = reader.get(reverse("workshop:audit-pdf", args=[made.uuid]))
    paper = pypdfium2.PdfDocument(answer.content)
    assert f"Audit file {made.number}" in paper[0].get_textpage().get_text_range()
    assert f'filename="{made.number}.pdf"' in answer.headers["Content-Disposition"]


def test_the_data_come_as_a_zip_with_the_script_in_it(reader, story, lead):
    made = make_audit(lead, "lot", story.part.code)
    answer = reader.get(reverse("workshop:audit-zip", args=[made.uuid]))
    assert answer.streaming
    assert f'filename="{made.number}.zip"' in answer.headers["Content-Disposition"]
    with ZipFile(BytesIO(answer.getvalue())) as archive:
        assert archive.read("verify_audit.py") == SCRIPT.read_bytes()


def test_anybody_fetches_the_script_and_reads_how_to_use_it():
    stranger = Client()
    page = stranger.get("/verify/").content.decode()
    assert "python3 -I verify_audit.py" in page
    assert reverse("verify-script") in page
    assert stranger.get("/verify/verify_audit.py").content == SCRIPT.read_bytes()
    assert stranger.post("/verify/verify_audit.py").status_code == 405


def test_the_first_command_fetches_the_script_from_where_the_page_came(settings):
    settings.ALLOWED_HOSTS = ["tablet.example"]
    page = Client().get("/verify/", HTTP_HOST="tablet.example:8533").content.decode()
    assert "curl -O http://tablet.example:8533/verify/verify_audit.py" in page


def test_a_strangers_page_shows_nothing_of_the_book(story):
    page = Client().get("/verify/").content.decode()
    for secret in (story.part.code, story.run.number, "Board 600", "Hill school"):
        assert secret not in page


def pages_about(story):
    source = story.first.delivery.source
    return {
        reverse("inventory:trace", args=[story.part.code]): ("lot", story.part.code),
        reverse("products:part-detail", args=[story.part.code]): ("lot", story.part.code),
        reverse("workshop:run-detail", args=[story.run.code]): ("run", story.run.number),
        reverse("products:design-detail", args=[story.run.design.pk]): ("design", "Board 600"),
        reverse("inventory:source-detail", args=[source.pk]): ("source", source.name),
    }


def test_pages_of_things_lead_to_asking_about_them(reader, floor, story):
    for page, (kind, about) in pages_about(story).items():
        link = f"{NEW}?kind={kind}&amp;about={quote(about)}"
        assert link in reader.get(page).content.decode(), page
        assert link not in floor.get(page).content.decode(), page


def test_a_link_brings_along_what_is_asked_about(desk, story):
    form = desk.get(NEW, {"kind": "design", "about": "Board 600"}).context["form"]
    assert (form["kind"].value(), form["about"].value()) == ("design", "Board 600")


def test_an_unknown_file_is_not_found(desk):
    for name in ("audit-detail", "audit-pdf", "audit-zip"):
        address = reverse(f"workshop:{name}", args=["00000000-0000-0000-0000-000000000001"])
        assert desk.get(address).status_code == 404


def test_the_pages_cost_the_same_queries_for_few_and_many(desk, story, lead):
    counts = []
    for kind, subject in (("lot", story.part.code), ("run", story.run.number)):
        make_audit(lead, kind, subject)
        with CaptureQueriesContext(connection) as asked:
            desk.get(ALL)
        counts.append(len(asked))
    assert counts[0] == counts[1]
