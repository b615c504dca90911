"""The admin shows the book and changes nothing."""

import pytest
from django.apps import apps
from django.contrib import admin
from django.contrib.auth.models import User
from django.test import Client
from django.urls import reverse

from inventory.models import Posting
from tests.factories.inventory import make_delivery

MODELS = [
    model
    for model in apps.get_app_config("inventory").get_models()
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


@each_model
def test_the_admin_lists_but_adds_nothing(boss, model):
    name = f"admin:inventory_{model._meta.model_name}"  # noqa: SLF001
    assert boss.get(reverse(f"{name}_changelist")).status_code == 200
    assert boss.get(reverse(f"{name}_add")).status_code == 403


@each_model
def test_the_admin_offers_no_action(rf, boss, model):
    request = rf.get("/")
    request.user = User.objects.get()
    assert admin.site._registry[model].get_actions(request) == {}  # noqa: SLF001


def test_the_admin_neither_changes_nor_deletes_a_posting(boss, operator):
    make_delivery(operator)
    posting = Posting.objects.get()
    change = reverse("admin:inventory_posting_change", args=[posting.pk])
    assert boss.get(change).status_code == 200
    assert boss.post(change, {"reason": "mended"}).status_code == 403
    delete = reverse("admin:inventory_posting_delete", args=[posting.pk])
    assert boss.post(delete, {"post": "yes"}).status_code == 403
    assert Posting.objects.get().reason == ""
