"""Lists on pages: next, previous, and what a page that cannot be found says."""

import pytest
from django.urls import reverse

from tests.factories.inventory import BinFactory, SourceFactory, make_delivery

pytestmark = pytest.mark.django_db

LISTS = [
    "inventory:lot-list",
    "inventory:posting-list",
    "inventory:delivery-list",
    "inventory:bin-board",
    "inventory:count-list",
    "inventory:hold-list",
    "inventory:source-list",
    "inventory:scale-list",
    "inventory:round-list",
    "inventory:checkpoint-list",
    "products:part-list",
    "products:product-list",
    "products:label-list",
    "products:grid-list",
    "products:recall-list",
    "workshop:run-list",
    "workshop:visit-list",
]


@pytest.fixture
def many(operator):
    source = SourceFactory(name="Mill & sons")
    return [make_delivery(operator, source=source) for _ in range(27)]


def test_next_and_previous_keep_the_filter_and_lead_there_and_back(floor, many):
    asked = {"source": "Mill & sons", "sort": "day"}
    first = floor.get(reverse("inventory:delivery-list"), asked)
    assert b'rel="prev"' not in first.content
    assert b'href="?source=Mill+%26+sons&amp;sort=day&amp;page=' in first.content
    found = asked | {"page": first.context["page"].next}
    second = floor.get(reverse("inventory:delivery-list"), found)
    assert [row.pk for row in second.context["page"]] == [row.pk for row in many[25:]]
    assert b'rel="next"' not in second.content
    back = floor.get(
        reverse("inventory:delivery-list"), found | {"page": second.context["page"].previous}
    )
    assert [row.pk for row in back.context["page"]] == [row.pk for row in many[:25]]


@pytest.mark.parametrize("name", LISTS)
@pytest.mark.parametrize("cursor", ["2", "forged", "\x00", "a:b"])
def test_a_page_that_cannot_be_found_says_where_to_begin(floor, name, cursor):
    answer = floor.get(reverse(name), {"page": cursor, "q": "x"})
    assert answer.status_code == 404
    text = answer.content.decode()
    assert "begin at its first page" in text
    assert 'href="?q=x"' in text


def test_a_page_of_another_list_is_not_found(floor, many):
    cursor = floor.get(reverse("inventory:delivery-list")).context["page"].next
    others = [name for name in LISTS if name != "inventory:delivery-list"]
    answers = [floor.get(reverse(name), {"page": cursor}).status_code for name in others]
    assert (len(others) > 5, set(answers)) == (True, {404})


def test_a_page_whose_rows_are_all_gone_is_the_first(floor, operator):
    bins = [BinFactory(name=f"B-{number:02d}") for number in range(26)]
    cursor = floor.get(reverse("inventory:bin-board")).context["page"].next
    bins[-1].delete()
    answer = floor.get(reverse("inventory:bin-board"), {"page": cursor})
    assert [card.bin for card in answer.context["cards"]] == bins[:25]


def test_a_short_list_has_no_pages(floor, operator):
    make_delivery(operator)
    assert b'class="pager"' not in floor.get(reverse("inventory:lot-list")).content
