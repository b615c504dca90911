"""The pages on which the lead sets an own figure or goes back."""

import pytest
from django.urls import reverse

from inventory.models import OwnFigure
from inventory.queries.own_figures import own_of
from tests.factories.inventory import polymer


def put(client, key, name="press-platen", **fields):
    address = reverse("inventory:own-figure", args=["PP", name])
    return client.post(address, {"key": key, "reason": "measured"} | fields, follow=True)


def test_the_lead_sets_a_window_with_a_comma(desk, key):
    text = put(desk, key, low="187,5", high="205").content.decode()
    assert "is your own value now" in text
    assert "measured" in text
    assert own_of(polymer("PP"))["press-platen"].low == 187.5


def test_a_refused_figure_keeps_what_was_typed(desk, key):
    answer = put(desk, key, name="fume-above", typical="300")
    assert answer.status_code == 422
    assert answer.context["form"].has_error("__all__", "above-reference")
    assert 'value="300"' in answer.content.decode()
    assert not OwnFigure.objects.exists()


def test_an_empty_box_is_refused(desk, key):
    answer = put(desk, key, low="", high="205")
    assert answer.status_code == 422
    assert answer.context["form"].has_error("low", "required")


def test_the_lead_goes_back_to_the_reference(desk, key):
    put(desk, key, low="185", high="205")
    address = reverse("inventory:own-figure-back", args=["PP", "press-platen"])
    fields = {"key": "8d7a4a2e-3c2b-4d0e-9a53-0d6c6f5f8f11", "reason": "new batch"}
    text = desk.post(address, fields, follow=True).content.decode()
    assert "is the reference&#x27;s again" in text
    assert own_of(polymer("PP")) == {}


def test_going_back_from_the_reference_is_refused(desk, key):
    address = reverse("inventory:own-figure-back", args=["PP", "press-platen"])
    answer = desk.post(address, {"key": key, "reason": "new batch"})
    assert answer.status_code == 422
    assert answer.context["form"].has_error("__all__", "no-own")


@pytest.mark.parametrize(
    ("symbol", "name"), [("PX", "density"), ("PP", "none"), ("POM", "press-platen")]
)
def test_what_no_sheet_has_is_not_found(desk, symbol, name):
    assert desk.get(reverse("inventory:own-figure", args=[symbol, name])).status_code == 404


@pytest.mark.parametrize("who", ["floor", "reader"])
def test_only_the_lead_sets_figures(request, who, key):
    assert put(request.getfixturevalue(who), key, low="185", high="205").status_code == 403
    assert not OwnFigure.objects.exists()
