"""The page that sets the route of a design."""

import pytest
from django.urls import reverse

from products.models import Design
from tests.factories.workshop import DesignFactory

pytestmark = pytest.mark.django_db


@pytest.fixture
def design():
    return DesignFactory(made_by="press", route=[{"work": "press", "note": "at 190 °C"}])


def address(design):
    return reverse("products:design-route", args=[design.pk])


def test_a_route_is_set_and_stands_on_the_page_of_the_design(desk, design, key):
    sent = {"key": key, "work-1": "granulate", "work-4": "press", "note-4": "two layers"}
    text = desk.post(address(design), sent, follow=True).content.decode()
    assert "<li>1. Granulate</li><li>2. Press: two layers</li>" in text


def test_the_boxes_show_what_is_set(desk, design):
    shown = desk.get(address(design)).content.decode()
    assert 'value="at 190 °C"' in shown
    assert '<option value="press" selected>' in shown


@pytest.mark.parametrize("wrong", [{"work-1": "cut"}, {"note-2": "alone"}, {"work-1": "bake"}])
def test_a_route_that_is_none_is_refused_and_stays_typed(desk, design, key, wrong):
    answer = desk.post(address(design), {"key": key, "note-1": "kept"} | wrong)
    assert answer.status_code == 422
    assert 'value="kept"' in answer.content.decode()
    assert Design.objects.get().route[0]["note"] == "at 190 °C"


def test_only_the_lead_sets_a_route(floor, design, key):
    assert floor.post(address(design), {"key": key}).status_code == 403
