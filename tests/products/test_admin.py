"""The admin shows designs, parts, labels and passports and changes none of them."""

import pytest
from django.apps import apps
from django.contrib import admin
from django.contrib.auth.models import User
from django.test import Client
from django.urls import reverse

from products.actions.labels import print_labels
from products.models import Handover, Label, LabelGrid, Part, Passport, PrintedAddress, Printing
from products.queries.things import Thing
from tests.factories.book import written
from tests.factories.grids import GridFactory
from tests.factories.inventory import KG, make_act, make_full_bin
from tests.factories.workshop import make_part
from tests.kept import kept

SHOWN = (Handover, Label, LabelGrid, Part, Passport, PrintedAddress, Printing)
MODELS = [
    model
    for model in apps.get_app_config("products").get_models()
    if admin.site.is_registered(model)
]
each_model = pytest.mark.parametrize("model", MODELS, ids=lambda model: model.__name__)


@pytest.fixture
def boss(db):
    """A superuser's browser."""
    client = Client()
    person = User.objects.create_superuser("boss", password="a-long-test-password")
    client.force_login(person, backend="workshop.backends.PasswordBackend")
    return client


@pytest.fixture
@kept
def labelled(operator):
    """A part with a passport and a printed label."""
    part = make_part(operator, make_full_bin(operator)[1], KG)
    print_labels(things=[Thing("part", part.code)], grid=GridFactory(), act=make_act(operator))


def address(model, page, *args):
    return reverse(f"admin:products_{model._meta.model_name}_{page}", args=args)  # noqa: SLF001


def test_labels_printings_and_passports_are_shown():
    assert set(SHOWN) <= set(MODELS)


@each_model
def test_the_admin_lists_but_adds_nothing(boss, labelled, model):
    assert boss.get(address(model, "changelist")).status_code == 200
    assert boss.get(address(model, "add")).status_code == 403


@each_model
def test_the_admin_offers_no_action(rf, boss, model):
    request = rf.get("/")
    request.user = User.objects.get(username="boss")
    assert admin.site._registry[model].get_actions(request) == {}  # noqa: SLF001


@pytest.mark.parametrize("model", [Label, LabelGrid, Passport, PrintedAddress, Printing])
def test_the_admin_neither_changes_nor_deletes(boss, labelled, model):
    row = model.objects.get()
    before = written()
    assert boss.get(address(model, "change", row.pk)).status_code == 200
    assert boss.post(address(model, "change", row.pk), {"reason": "mended"}).status_code == 403
    assert boss.post(address(model, "delete", row.pk), {"post": "yes"}).status_code == 403
    assert written() == before
