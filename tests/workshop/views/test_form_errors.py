"""A refused form names each marked field, with a way there: on a long page they lie below the edge."""

import re

import pytest
from django.urls import reverse

FORMS = (
    "inventory:delivery-create",
    "inventory:bin-create",
    "inventory:scale-create",
    "inventory:source-create",
    "products:design-create",
    "products:grid-create",
    "workshop:machine-create",
)


@pytest.mark.parametrize("name", FORMS)
def test_every_marked_field_is_named_and_reached(name, desk, key):
    answer = desk.post(reverse(name), {"key": key})
    assert answer.status_code == 422
    seen = answer.content.decode()
    (said,) = re.findall(r'<li class="form-errors-fields">(.*?)</li>', seen, re.DOTALL)
    ways = re.findall(r'<a href="#(\w+)">', said)
    form = answer.context["form"]
    assert ways == [box.auto_id for box in form.visible_fields() if box.errors]
    assert ways
    assert [way for way in ways if f' id="{way}"' not in seen] == []


def test_a_form_that_was_not_refused_names_nothing(desk):
    assert "form-errors-fields" not in desk.get(reverse(FORMS[0])).content.decode()
