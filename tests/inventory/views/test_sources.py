"""Sources: their list, their pages and their form."""

import pytest
from django.urls import reverse

from inventory.models import Source
from tests.factories.inventory import KG, SourceFactory, make_delivery

LIST_QUERIES = 8


def test_an_operator_writes_a_source_down(floor, key):
    fields = {"key": key, "name": "Harbour school", "role": "household", "is_active": "on"}
    answer = floor.post(reverse("inventory:source-create"), fields)
    source = Source.objects.get()
    assert answer.url == reverse("inventory:source-detail", args=[source.pk])
    assert (source.name, source.role, source.is_active) == ("Harbour school", "household", True)


def test_a_taken_name_is_refused(floor, key):
    SourceFactory(name="Harbour school")
    fields = {"key": key, "name": "harbour school", "role": "household"}
    answer = floor.post(reverse("inventory:source-create"), fields)
    assert answer.status_code == 422
    assert answer.context["form"].has_error("__all__", "name-taken")
    assert Source.objects.count() == 1


def test_a_source_is_changed(floor, key):
    source = SourceFactory()
    fields = {"key": key, "name": "Mill", "role": "supplier"}
    floor.post(reverse("inventory:source-edit", args=[source.pk]), fields)
    source.refresh_from_db()
    assert (source.name, source.is_active) == ("Mill", False)


def test_an_auditor_changes_no_source(reader):
    assert reader.post(reverse("inventory:source-create"), {}).status_code == 403


def test_the_page_sums_what_came_by_polymer(floor, operator):
    source = SourceFactory()
    make_delivery(operator, source=source)
    make_delivery(operator, source=source, net_mg=2 * KG)
    make_delivery(operator, source=source, polymer="PP", net_mg=3 * KG)
    answer = floor.get(reverse("inventory:source-detail", args=[source.pk]))
    rows = [(row.symbol, row.mass_mg, row.deliveries) for row in answer.context["received"]]
    assert rows == [("PE-HD", 12 * KG, 2), ("PP", 3 * KG, 1)]
    assert answer.context["source"].received_mg == 15 * KG


def test_each_delivery_leads_on_to_where_it_went(floor, operator):
    delivery = make_delivery(operator)
    answer = floor.get(reverse("inventory:source-detail", args=[delivery.source_id]))
    forward = reverse("inventory:trace", args=[delivery.code]) + "#forward"
    assert forward in answer.content.decode()


@pytest.mark.parametrize(
    ("query", "names"),
    [
        ({}, ["Mill", "School"]),
        ({"sort": "-received"}, ["School", "Mill"]),
        ({"role": "household"}, ["School"]),
        ({"active": "no"}, ["Mill"]),
        ({"q": "sch"}, ["School"]),
    ],
)
def test_sources_are_found(floor, operator, query, names):
    make_delivery(operator, source=SourceFactory(name="School", role="household"))
    SourceFactory(name="Mill", is_active=False)
    page = floor.get(reverse("inventory:source-list"), query).context["page"]
    assert [source.name for source in page] == names


def test_the_list_keeps_to_its_queries(floor, django_assert_max_num_queries):
    SourceFactory.create_batch(10)
    with django_assert_max_num_queries(LIST_QUERIES):
        floor.get(reverse("inventory:source-list"))
