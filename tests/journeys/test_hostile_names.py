"""Names that are markup, formulas, written from right to left or never end: every page, drawing, table and paper.

The names are put into the book below all forms, as an old book or another program may have them.
"""

import csv
import json
from io import StringIO
from xml.etree import ElementTree

import pypdfium2
import pytest
from django.contrib.auth.models import User
from django.test import Client

from inventory.calculations.spreadsheets import FORMULAS
from inventory.models import Bin, Colour, Scale, Source
from products.actions.passports import issue_passport
from products.models import Design, LabelGrid, Part
from tests.factories.inventory import make_act
from tests.journeys.small_workshop import build
from tests.journeys.test_page_plans import api_addresses, page_addresses
from workshop.models import Machine, Tooling

pytestmark = [pytest.mark.django_db, pytest.mark.one_database]

MARKUP = "<probe-of-names>"
NAMES = {
    "markup": f"=\"'>{MARKUP}&amp;]]>{{{{ 7 }}}}%s%(x)s",
    "strange": "\t@\u202e\u05d2\u0301\x1f\x0b\ufffe\u0085\u2028;\r\n-" + "W" * 300,
}
NAMED = {
    Bin: ("name", "place"),
    Source: ("name",),
    Scale: ("name",),
    Design: ("name", "care", "note"),
    LabelGrid: ("name",),
    Machine: ("name", "place"),
    Tooling: ("name",),
    User: ("username", "first_name", "last_name"),
    Colour: ("name",),
}


def rename_all(name: str) -> None:
    """Give everything that has a name a hostile one; the number of its row keeps them apart."""
    for model, fields in NAMED.items():
        there = [field for field in fields if field in {f.name for f in model._meta.fields}]
        for row in model.objects.all():
            model.objects.filter(pk=row.pk).update(**{f: f"{name}{row.pk}" for f in there})


def is_number(cell: str) -> bool:
    try:
        float(cell)
    except ValueError:
        return False
    return True


def table_faults(text: str) -> list[str]:
    cells = [cell for row in csv.reader(StringIO(text)) for cell in row]
    return [f"formula {cell[:20]!r}" for cell in cells if reckoned(cell)]


def reckoned(cell: str) -> bool:
    return cell.startswith(FORMULAS) and not is_number(cell)


def drawing_faults(text: str) -> list[str]:
    try:
        ElementTree.fromstring(text)  # noqa: S314 (our own drawing)
    except ElementTree.ParseError as error:
        return [f"no XML: {error}"]
    return []


def faults_of(answer) -> list[str]:
    """Return what is wrong with an answer, whatever kind of document it is."""
    kind = answer.headers.get("Content-Type", "").partition(";")[0]
    content = b"".join(answer) if answer.streaming else answer.content
    found = ["a fault of the server"] if answer.status_code >= 500 else []
    if kind == "application/pdf":
        return found + ([] if len(pypdfium2.PdfDocument(content)) else ["no page"])
    if kind.startswith("image/") and kind != "image/svg+xml" or kind == "application/zip":
        return found
    text = content.decode()
    if kind in {"text/html", "image/svg+xml"} and MARKUP in text:
        found.append("markup")
    if kind == "text/csv":
        found += table_faults(text)
    if kind == "image/svg+xml":
        found += drawing_faults(text)
    if "json" in kind:
        json.loads(text)
    return found


@pytest.mark.parametrize("kind", NAMES)
def test_no_name_breaks_a_page_or_gets_out_of_its_place(kind, lead):
    things = build(lead)
    rename_all(NAMES[kind])
    part = Part.objects.get(code=things["part"])
    issue_passport(part=part, act=make_act(lead, "its names are others now"))
    client = Client(raise_request_exception=False)
    client.force_login(User.objects.get(pk=lead.pk), backend="workshop.backends.PasswordBackend")
    every = page_addresses(things) | {f"api:{n}": way for n, way in api_addresses(things).items()}
    found, kinds = {}, set()
    for name, (path, *_ways) in every.items():
        answer = client.get(path, headers={"accept": "text/html, */*"})
        kinds.add(answer.headers.get("Content-Type", "").partition(";")[0])
        if faults := faults_of(answer):
            found[name] = faults
    found["stranger"] = faults_of(Client().get(f"/q/{part.code}/"))
    found = {name: sorted(set(faults)) for name, faults in found.items() if faults}
    assert kinds >= {
        "text/html",
        "image/svg+xml",
        "text/csv",
        "application/pdf",
        "application/json",
    }
    assert found == {}
