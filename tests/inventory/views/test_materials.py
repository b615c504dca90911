"""Polymers as reference data, and the switching of blends."""

import pytest
from django.urls import reverse

from inventory.models import Blend

LIST_QUERIES = 9


def switch(client, **fields):
    return client.post(reverse("inventory:blend-switch"), fields, follow=True)


def test_the_lead_allows_a_blend_with_a_limit(desk, key):
    fields = {"main": "PP", "added": "PE-HD", "most_added": "7.5", "is_on": "on", "reason": "tried"}
    answer = switch(desk, key=key, **fields)
    blend = Blend.objects.get()
    assert (blend.result.symbol, blend.most_added_permille, blend.is_on) == ("PP+PE-HD", 75, True)
    assert "The blend PP+PE-HD is allowed." in answer.content.decode()


def test_a_blend_of_one_polymer_is_refused(desk, key):
    answer = switch(desk, key=key, main="PP", added="PP", is_on="on", reason="tried")
    assert answer.status_code == 422
    assert answer.context["form"].has_error("__all__", "blend")
    assert not Blend.objects.exists()


def test_reject_material_cannot_be_chosen(desk, key):
    answer = switch(desk, key=key, main="PP", added="PVC-U", is_on="on", reason="tried")
    assert answer.status_code == 422
    assert answer.context["form"].has_error("added", "invalid_choice")


@pytest.mark.parametrize("who", ["floor", "reader"])
def test_only_the_lead_switches_blends(request, who):
    assert switch(request.getfixturevalue(who)).status_code == 403


@pytest.mark.parametrize(
    ("query", "symbols"),
    [({"q": "hdpe"}, ["PE-HD"]), ({"worked": "no"}, ["POM", "PVC-U"]), ({"q": "zzz"}, [])],
)
def test_polymers_are_found_by_symbol_and_trade_name(floor, query, symbols):
    page = floor.get(reverse("inventory:polymer-list"), query).context["page"]
    assert [polymer.symbol for polymer in page] == symbols


def test_each_value_names_its_source(floor):
    text = floor.get(reverse("inventory:polymer-list"), {"q": "PE-HD"}).content.decode()
    assert "density_low" in text
    assert ">NZ<" in text


def test_the_list_keeps_to_its_queries(floor, django_assert_max_num_queries):
    with django_assert_max_num_queries(LIST_QUERIES):
        floor.get(reverse("inventory:polymer-list"))
