"""Holds: their list and their lifting."""

import pytest
from django.urls import reverse

from inventory.actions.recalls import start_recall
from inventory.models import Hold
from tests.factories.inventory import make_act, make_delivery, make_full_bin

LIST_QUERIES = 9


@pytest.fixture
def hold(operator):
    """The hold of a delivery that nobody could identify."""
    make_delivery(operator, polymer=None, identified_by="unknown")
    return Hold.objects.get()


def listed(client, **query):
    return [row[0] for row in client.get(reverse("inventory:hold-list"), query).context["rows"]]


def lift(client, hold, **fields):
    return client.post(reverse("inventory:hold-lift", args=[hold.pk]), fields)


def test_the_lead_lifts_a_hold(desk, hold, key):
    answer = lift(desk, hold, key=key, reason="tested in the bath")
    hold.refresh_from_db()
    assert answer.url == hold.lot.get_absolute_url()
    assert (hold.lifted_role, hold.lift_reason) == ("lead", "tested in the bath")


def test_a_hold_is_not_lifted_without_a_reason(desk, hold, key):
    answer = lift(desk, hold, key=key)
    hold.refresh_from_db()
    assert answer.status_code == 422
    assert hold.lifted_at is None


def test_a_lifted_hold_is_not_lifted_again(desk, hold, key):
    lift(desk, hold, key="8a6c6d0e-6c0c-4c59-8a5e-0d6f3c7f0002", reason="tested")
    answer = lift(desk, hold, key=key, reason="tested")
    assert answer.status_code == 422
    assert answer.context["form"].has_error("__all__", "not-held")


@pytest.mark.parametrize("who", ["floor", "reader"])
def test_only_the_lead_lifts_a_hold(request, who, hold, key):
    assert lift(request.getfixturevalue(who), hold, key=key).status_code == 403


def test_the_list_shows_what_is_on_hold_and_on_request_what_was(desk, hold, key):
    assert listed(desk) == [hold]
    lift(desk, hold, key=key, reason="tested")
    assert listed(desk) == []
    assert listed(desk, state="lifted") == [hold]
    assert listed(desk, state="all", q="nobody knows") == [hold]


def test_a_hold_of_a_recall_names_it(desk, lead):
    _bin, lot = make_full_bin(lead)
    recall = start_recall(lots=[lot], act=make_act(lead, "smells of petrol"))
    address = reverse("products:recall-detail", args=[recall.pk])
    pages = [
        reverse("inventory:hold-list"),
        reverse("inventory:hold-lift", args=[lot.holds.get().pk]),
    ]
    for page in pages:
        text = desk.get(page).content.decode()
        assert f'href="{address}"' in text
        assert f"Recall {recall.number}" in text


def test_the_list_keeps_to_its_queries(floor, operator, hold, django_assert_max_num_queries):
    make_delivery(operator, polymer=None, identified_by="unknown")
    with django_assert_max_num_queries(LIST_QUERIES):
        listed(floor)
