"""The page that sets the limit of melt passes of a design."""

import pytest
from django.urls import reverse

from products.calculations.pass_limits import PassLimit
from products.models import Design
from tests.factories.workshop import DesignFactory

pytestmark = pytest.mark.django_db


@pytest.fixture
def design():
    return DesignFactory()


def address(design):
    return reverse("products:design-pass-limit", args=[design.pk])


def test_a_limit_is_set_and_stands_on_the_page_of_the_design(desk, design, key):
    sent = {"key": key, "most_percent": "20", "times": "3"}
    answer = desk.post(address(design), sent, follow=True).content.decode()
    assert "at most 20\u00a0% of a charge melted 3 times or more before" in answer


def test_the_boxes_show_what_is_set(desk):
    design = DesignFactory(passes_from=3, passes_most_percent=20)
    shown = desk.get(address(design)).content.decode()
    assert 'name="most_percent" value="20"' in shown
    assert 'name="times" value="3"' in shown


def test_empty_boxes_take_the_limit_away(desk, key):
    design = DesignFactory(passes_from=3, passes_most_percent=20)
    desk.post(address(design), {"key": key, "most_percent": "", "times": ""})
    assert Design.objects.get().pass_limit is None


@pytest.mark.parametrize(
    ("percent", "times"), [("20", ""), ("", "3"), ("100", "3"), ("20", "10"), ("x", "3")]
)
def test_half_a_limit_or_none_is_refused_and_stays_typed(desk, design, key, percent, times):
    sent = {"key": key, "most_percent": percent, "times": times}
    answer = desk.post(address(design), sent)
    assert answer.status_code == 422
    assert answer.content.decode().count('aria-invalid="true"') == 1
    assert Design.objects.get().pass_limit is None


def test_another_design_keeps_its_limit(desk, design, key):
    other = DesignFactory(passes_from=2, passes_most_percent=50)
    desk.post(address(design), {"key": key, "most_percent": "20", "times": "3"})
    assert Design.objects.get(pk=other.pk).pass_limit == PassLimit(2, 50)
