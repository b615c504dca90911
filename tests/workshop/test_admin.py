"""The admin shows every row of the project, and asks for what a list names with the list itself."""

import pytest
from django.apps import apps
from django.contrib import admin
from django.contrib.auth.models import User
from django.test import Client
from django.urls import reverse

from tests.factories.people import make_person
from tests.journeys.small_workshop import build
from workshop.models import Photo

APPS = ("inventory", "products", "workshop")
MODELS = [model for app in APPS for model in apps.get_app_config(app).get_models()]
each_model = pytest.mark.parametrize("model", MODELS, ids=lambda model: model.__name__)


@pytest.fixture
def boss(db):
    """A superuser's browser."""
    client = Client()
    person = User.objects.create_superuser("boss", password="a-long-test-password")
    client.force_login(person, backend="workshop.backends.PasswordBackend")
    return client


def address(model, page, *args):
    meta = model._meta  # noqa: SLF001
    return reverse(f"admin:{meta.app_label}_{meta.model_name}_{page}", args=args)


@each_model
def test_the_admin_shows_every_model_in_pages(model):
    assert admin.site.is_registered(model)
    assert admin.site._registry[model].list_per_page <= 50  # noqa: SLF001


@each_model
def test_a_list_asks_for_no_row_by_itself(model):
    shown = admin.site._registry[model]  # noqa: SLF001
    fields = {field.name for field in model._meta.get_fields() if field.is_relation}  # noqa: SLF001
    asked = {path.split("__")[0] for path in shown.list_select_related or ()}
    assert set(shown.list_display) & fields <= asked


def test_every_list_and_every_row_opens_and_none_can_be_changed(boss):
    build(make_person("lead"))
    closed = []
    for model in MODELS:
        lists = boss.get(address(model, "changelist"))
        closed += [model.__name__] if lists.status_code != 200 else []
        if row := model.objects.first():
            change = address(model, "change", row.pk)
            answers = [boss.get(change).status_code, boss.post(change, {}).status_code]
            closed += [model.__name__] if answers != [200, 403] else []
    assert closed == []


def test_the_picture_of_a_run_is_not_linked_where_nothing_serves_it():
    assert "picture" not in admin.site._registry[Photo].fields  # noqa: SLF001
