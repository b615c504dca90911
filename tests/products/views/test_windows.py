"""The page that sets the windows of a design."""

import pytest
from django.urls import reverse

from products.models import Window
from tests.factories.workshop import DesignFactory

pytestmark = pytest.mark.django_db


@pytest.fixture
def design():
    return DesignFactory(made_by="inject", form="part")


def test_windows_are_set_and_stand_on_the_page_of_the_design(desk, design, key):
    sent = {"key": key, "melt-low": "190", "melt-high": "230,5"}
    answer = desk.post(reverse("products:design-windows", args=[design.pk]), sent, follow=True)
    assert "190 to 230.5\N{NO-BREAK SPACE}°C" in answer.content.decode()


def test_the_boxes_show_what_is_set(desk, design):
    Window.objects.create(design=design, quantity="melt", low=190)
    shown = desk.get(reverse("products:design-windows", args=[design.pk])).content.decode()
    assert 'name="melt-low" value="190"' in shown


def test_a_window_upside_down_is_refused_and_stays_typed(desk, design, key):
    sent = {"key": key, "melt-low": "230", "melt-high": "190"}
    answer = desk.post(reverse("products:design-windows", args=[design.pk]), sent)
    assert answer.status_code == 422
    assert "The window of the melt temperature is none" in answer.content.decode()
    assert 'name="melt-low" value="230"' in answer.content.decode()
    assert not Window.objects.exists()
