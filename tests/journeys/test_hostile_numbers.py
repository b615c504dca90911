"""A number that is none, nothing, below nothing or huge, in a form that is else well filled in."""

from itertools import product
from uuid import uuid4

import pytest
from django import forms
from django.db import transaction
from django.http import HttpResponse
from django.test import Client

from inventory.forms.fields import BinField, MassField, PolymerField
from inventory.views import access
from products.forms.lengths import LengthField
from tests.journeys.small_workshop import build, pages

pytestmark = [pytest.mark.django_db, pytest.mark.one_database]

LETTERS = "abc"
HOSTILE = ("0", "-1", "1e30")
NUMBERS = (MassField, LengthField, forms.IntegerField, forms.DecimalField, forms.FloatField)
KINDS = {BinField: "T-90", PolymerField: "PE-HD", forms.DateField: "2026-03-02"}
GOOD = {
    "net": "",
    "gross": "10",
    "per_kg": "",
    "reason": "swept up",
}  # where 1 or a word made up would not do
# Pages whose well filled form is taken, so that a hostile number meets the action too.
TAKEN = {
    "inventory:delivery-create", "inventory:bin-create", "inventory:bin-edit", "inventory:lot-dispose",
    "inventory:scale-create", "inventory:own-figure", "open a press run", "load from a bin",
    "weigh out offcuts", "products:design-create", "products:design-edit",
    "products:design-pass-limit", "products:design-windows", "workshop:machine-create",
    "workshop:tooling-create",
}  # fmt: skip
ASKED_BY_GET = {"plan a run", "inventory:bin-count", "workshop:calculator-detail"}


def first_choice(field) -> str:
    """The first choice that says something."""
    return next((str(value) for value, _label in field.choices if str(value)), "")


def typed(name: str, field) -> str:
    """What a careful person would type into a box."""
    if isinstance(field, forms.ChoiceField):  # a choice among rows is one too
        return first_choice(field)
    if isinstance(field, NUMBERS):
        return GOOD.get(name, str(getattr(field, "min_value", None) or 1))
    known = next((text for kind, text in KINDS.items() if isinstance(field, kind)), "")
    return known or GOOD.get(name, f"T-{name}"[:20])


def well_filled(form, *, has_all: bool) -> dict:
    """A form as its page offers it, with what must be filled, and with all numbers when asked."""
    sent = {}
    for name, field in form.fields.items():
        shown = form[name].value()
        wanted = field.required or (has_all and isinstance(field, (PolymerField, *NUMBERS)))
        if isinstance(field, forms.UUIDField):
            shown = uuid4()
        elif isinstance(field, forms.FileField):
            shown = ""
        elif shown in (None, "", False) and wanted:
            shown = typed(name, field)
        sent[form.add_prefix(name)] = field.prepare_value(shown)
    return {name: value for name, value in sent.items() if value not in (None, "", False)}


def answer_to(client, name: str, path: str, sent: dict) -> int:
    """The status of an answer; what was booked for it is taken back."""
    way = client.get if name in ASKED_BY_GET else client.post
    with transaction.atomic():
        status = way(path, sent | {"decision": "accept"}).status_code
        transaction.set_rollback(True)
    return status


def forms_of(answer) -> list[forms.Form]:
    """The form of a page, and those of the bins of a visit that is settled."""
    form = getattr(answer, "form", None)
    bins = answer.context.get("bins", ()) if form else ()
    more = [each[0] for each in bins if isinstance(each, tuple)]
    return [form, *more] if form else []


def number_pages(client, things):
    """Yield name, address and forms of each page that asks for a number, with its number boxes."""
    extra = {
        "plan a run": f"/plans/new/?design={things['design']}",
        "settle a visit": f"/visits/{things['visit']}/settle/",
    }
    for name, path in (pages(client, things) | extra).items():
        found = forms_of(client.get(path))
        boxes = [
            form.add_prefix(box)
            for form in found
            for box, field in form.fields.items()
            if isinstance(field, NUMBERS)
        ]
        if boxes:
            yield name, path, found, boxes


def test_no_number_breaks_a_form(lead, monkeypatch):
    things = build(lead)
    client = Client(raise_request_exception=False, headers={"accept": "text/html"})
    client.force_login(lead)
    found = list(number_pages(client, things))
    # How a refused form looks is not asked here, and drawing hundreds of them takes a minute.
    monkeypatch.setattr(
        access, "render", lambda *_args, status=200, **_more: HttpResponse(status=status)
    )
    answers = {}
    for name, path, shown, boxes in found:
        for has_all in (False, True):
            good = {"design": things["design"]} if name == "plan a run" else {}
            for form in shown:
                good |= well_filled(form, has_all=has_all)
            answers[name, "", "", has_all] = answer_to(client, name, path, good)
            # No box that holds letters lets an action be reached, so they are tried in all at once.
            letters = good | dict.fromkeys(boxes, LETTERS)
            answers[name, "all", LETTERS, has_all] = answer_to(client, name, path, letters)
            for box, number in product(boxes, HOSTILE if has_all else ()):
                sent = good | {box: number}
                answers[name, box, number, has_all] = answer_to(client, name, path, sent)
    assert {asked for asked, status in answers.items() if status >= 500} == set()
    assert {name for name, *_rest in found} >= TAKEN | ASKED_BY_GET | {"settle a visit"}
    taken = {asked[0] for asked, status in answers.items() if asked[1] == "" and status == 302}
    assert taken >= TAKEN
