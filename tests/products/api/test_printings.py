"""Printing labels over the API."""

from datetime import timedelta

import pypdfium2
import pytest
import zxingcpp

from products.models import Printing
from products.queries import sheets
from tests.factories.api import client_of, repeated, send
from tests.factories.grids import GridFactory
from tests.factories.inventory import BinFactory

pytestmark = pytest.mark.django_db


@pytest.fixture
def bin():
    return BinFactory()


@pytest.fixture
def body(bin):
    return {"things": [{"kind": "bin", "code": bin.code}], "grid": GridFactory().name}


def test_printing_answers_with_the_record_and_the_sheet(api_client, body, bin):
    answer = send(api_client, "printings/", **body).json()
    assert [label["code"] for label in answer["labels"]] == [bin.code]
    assert answer["sheet"] == f"/api/printings/{answer['uuid']}/sheet.pdf"


def test_the_sheet_leads_to_the_thing(api_client, body, bin, settings):
    """Read by PDFium and zxing-cpp, which share no code with what printed it."""
    sheet = api_client.get(send(api_client, "printings/", **body).json()["sheet"])
    assert sheet["Content-Type"] == "application/pdf"
    picture = pypdfium2.PdfDocument(sheet.content)[0].render(scale=300 / 72).to_pil()
    found = [each.text for each in zxingcpp.read_barcodes(picture)]
    assert found == [f"{settings.SITE_URL}/q/{bin.code}"]


def test_a_repeat_is_answered_alike(api_client, body):
    first, second = repeated(api_client, "printings/", **body)
    assert first.json() == second.json()
    assert Printing.objects.count() == 1


def test_a_reprint_without_a_reason_is_refused(api_client, body):
    send(api_client, "printings/", **body)
    answer = send(api_client, "printings/", **body)
    assert (answer.status_code, answer.json()["code"]) == (422, "reason")
    assert Printing.objects.count() == 1


def test_another_address_is_refused(api_client, body, settings):
    send(api_client, "printings/", **body)
    settings.SITE_URL = "https://other.example"
    answer = send(api_client, "printings/", **body)
    assert answer.json()["code"] == "address-frozen"


@pytest.mark.parametrize(
    ("field", "value"),
    [
        ("things", [{"kind": "sofa", "code": "0" * 12}]),
        ("things", "all"),
        ("grid", "no such grid"),
        ("start", 0),
    ],
)
def test_a_body_that_names_nothing_is_refused(api_client, body, field, value):
    answer = send(api_client, "printings/", **(body | {field: value}))
    assert (answer.status_code, list(answer.json()["fields"])) == (400, [field])


@pytest.mark.parametrize(
    ("code", "change"),
    [
        ("nothing-chosen", {"things": []}),
        ("no-thing", {"things": [{"kind": "part", "code": "0" * 12}]}),
        ("start", {"start": 25}),
    ],
)
def test_what_cannot_be_printed_is_refused(api_client, body, code, change):
    answer = send(api_client, "printings/", **(body | change))
    assert (answer.status_code, answer.json()["code"]) == (422, code)


def test_an_auditor_prints_nothing_and_reads_everything(api_client, auditor, body):
    assert send(client_of(auditor), "printings/", **body).status_code == 403
    uuid = send(api_client, "printings/", **body).json()["uuid"]
    assert client_of(auditor).get(f"/api/printings/{uuid}/sheet.pdf").status_code == 200


def test_printings_are_listed_and_read(api_client, body):
    uuid = send(api_client, "printings/", **body, reason="").json()["uuid"]
    assert api_client.get("/api/printings/").json()["results"][0]["uuid"] == uuid
    assert len(api_client.get(f"/api/printings/{uuid}/").json()["labels"]) == 1


def test_a_printing_whose_labels_are_void_has_no_sheet(api_client, body, bin):
    sheet = send(api_client, "printings/", **body).json()["sheet"]
    send(api_client, f"labels/{bin.code}/void/", reason="torn")
    answer = api_client.get(sheet, headers={"accept": "application/pdf"})
    assert (answer.status_code, answer.json()["code"]) == (404, "not-found")


def test_an_old_sheet_is_closed(api_client, body, monkeypatch):
    sheet = send(api_client, "printings/", **body).json()["sheet"]
    monkeypatch.setattr(sheets, "OPEN_FOR", timedelta(0))
    answer = api_client.get(sheet)
    assert (answer.status_code, answer.json()["code"]) == (410, "sheet-closed")
