"""Nothing that somebody typed for the workshop reaches a stranger.

A secret is planted in every field that takes text, of every row of the book, save those that are meant
for the public; then an anonymous client looks for it.
"""

import pytest
from django.apps import apps
from django.db import models
from django.test import Client
from django.utils import timezone

from inventory.actions.lots import hold_lot
from inventory.models import Bin, Delivery
from products.actions.parts import hand_over_part, take_back_part
from products.models import Label, Part
from tests.factories.inventory import KG, BinFactory, SourceFactory, make_act, make_delivery
from tests.factories.people import make_person
from tests.factories.workshop import (
    DesignFactory,
    MachineFactory,
    ToolingFactory,
    load,
    make_run,
    weigh_out,
)
from workshop.actions.runs import close_run, reopen_run
from workshop.models import Run

pytestmark = pytest.mark.django_db
SECRET = "Zecret"
OLD_CODE = "ABCD10GHJKMN"

APPEND_ONLY = {"Posting", "Transfer", "Change", "Passport"}  # what they say was planted by the acts
REFERENCE = {"Polymer", "Spelling", "Colour", "Blend"}  # the trade's own words
FOR_ANYONE = {"Design": {"name", "care", "repair", "spare_parts", "taking_apart", "not_for"}}
MADE_BY_US = {"code", "thing_code", "fingerprint", "digest", "photo"}


def secret(name: str) -> str:
    return f"{SECRET} {name}"


def make_people():
    people = make_person("operator", f"{SECRET}-operator"), make_person("lead", f"{SECRET}-lead")
    for each in people:
        each.first_name, each.last_name, each.email = SECRET, SECRET, f"{SECRET}@example.org"
        each.save()
    return people


def make_secret_run(person):
    """A run on a machine with tooling, of a design with a note, every word of it a secret."""
    machine = MachineFactory(name=secret("machine"), place=secret("place"), note=secret("note"))
    tooling = ToolingFactory(name=secret("tool"), note=secret("note"))
    design = DesignFactory(name="Stool", note=secret("design note"))
    notes = {"settings_note": secret("settings"), "note": secret("run note")}
    return make_run(person, design=design, machine=machine, tooling=tooling, **notes)


def make_secret_lot(person):
    source = SourceFactory(name=secret("source"), contact=secret("contact"), note=secret("note"))
    texts = {name: secret(name) for name in ("former_use", "supplier_lot", "tests", "note")}
    bin = BinFactory(name=f"{SECRET}-bin", place=secret("place"))
    return make_delivery(person, bin=bin, source=source, **texts).lot


@pytest.fixture
def part():
    """A part that was handed over, came back, is on hold and has two passports and two labels."""
    person, lead = make_people()
    run = make_secret_run(person)
    load(run, make_secret_lot(person), person, 10 * KG)
    weigh_out(run, person, "part", 9 * KG, pieces=1, reason=secret("yield"))
    close_run(run=run, act=make_act(person, secret("loss")))
    reopen_run(run=run, act=make_act(lead, secret("reopening")))
    run.refresh_from_db()
    close_run(run=run, act=make_act(person, secret("second closing")))
    part = Part.objects.get()
    hand_over_part(part=part, act=make_act(person, secret("reason")), to=secret("customer"))
    take_back_part(part=part, act=make_act(person, secret("reason")), state=secret("state"))
    hold_lot(lot=part.lot, act=make_act(person, secret("hold")))
    make_labels(part, person)
    plant_everywhere()
    return part


def make_labels(part, person):
    now = timezone.now()
    spoken = {"thing": "part", "thing_code": part.code, "made_at": now}
    void = {"voided_at": now, "voided_by": person, "void_reason": secret("void")}
    Label.objects.create(code=OLD_CODE, **spoken, **void)
    Label.objects.create(code=part.code, **spoken)


def secret_fields(model):
    """The fields of a model that somebody could have typed a sentence into, and nobody should read."""
    open_fields = MADE_BY_US | FOR_ANYONE.get(model.__name__, set())
    texts = (models.CharField, models.TextField, models.FileField)
    return [
        field
        for field in model._meta.concrete_fields
        if isinstance(field, texts) and not field.choices and field.name not in open_fields
    ]


def plant_everywhere():
    """Overwrite every other text; a reason only where the row has one, as its constraint asks."""
    found = [
        m
        for app in ("inventory", "products", "workshop")
        for m in apps.get_app_config(app).get_models()
    ]
    for model in found:
        if model.__name__ not in APPEND_ONLY | REFERENCE:
            plant_in(model)


def plant_in(model):
    for field in secret_fields(model):
        has_reason = field.name.endswith(("reason", "refusal"))
        rows = model.objects.exclude(**{field.name: ""}) if has_reason else model.objects.all()
        for number, row in enumerate(rows):
            text = f"{SECRET} {number} {field.name}"[: field.max_length]
            model.objects.filter(pk=row.pk).update(**{field.name: text})


def everything(answer) -> str:
    """An answer with its headers, in small letters."""
    headers = "".join(f"{name}: {value}\n" for name, value in answer.headers.items())
    return (headers + answer.content.decode()).lower()


QUERIES = ["", "?version=1", "?format=jsonld", "?format=jsonld&version=1", "?format=photo"]


@pytest.mark.parametrize("query", QUERIES)
def test_no_passport_tells_a_secret(query, part):
    answer = Client().get(f"/q/{part.code}/{query}")
    assert SECRET.lower() not in everything(answer)


@pytest.mark.parametrize("query", QUERIES)
def test_no_label_of_anything_else_tells_a_secret(query, part):
    things = [Bin.objects.get(), Delivery.objects.get(), Run.objects.get()]
    codes = [each.code for each in things] + [OLD_CODE, "0" * 12]
    told = [everything(Client().get(f"/q/{code}/{query}")) for code in codes]
    assert [text for text in told if SECRET.lower() in text] == []


def test_a_stranger_does_read_the_passport(part):
    answer = Client().get(f"/q/{part.code}/")
    assert answer.status_code == 200
    assert "stool" in everything(answer)


def test_the_secrets_are_there_to_be_found(part, floor):
    """The search can fail: staff read what it looks for."""
    assert SECRET.lower() in everything(floor.get(part.get_absolute_url()))
    assert SECRET in str(part.passports.first().content["run"]["settings"])


def test_a_part_without_a_passport_tells_no_secret():
    person, _lead = make_people()
    run = make_secret_run(person)
    load(run, make_secret_lot(person), person, 4 * KG)
    weigh_out(run, person, "part", 4 * KG, pieces=1)
    answer = Client().get(f"/q/{Part.objects.get().code}/")
    assert "stool" in everything(answer)
    assert SECRET.lower() not in everything(answer)
