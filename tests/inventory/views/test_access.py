"""Who may open which page of the inventory."""

import pytest
from django.test import Client
from django.urls import get_resolver, reverse

from inventory import urls
from inventory.queries.access import ACTS
from tests.factories.people import make_person

ROUTES = {route.name: route for route in urls.urlpatterns}
LISTS = [
    "bin-board",
    "lot-list",
    "hold-list",
    "delivery-list",
    "source-list",
    "scale-list",
    "posting-list",
    "trace-start",
    "polymer-list",
]


@pytest.mark.parametrize("name", ROUTES)
def test_every_page_names_its_act_or_only_reads(name):
    act = ROUTES[name].callback.act
    assert act in {""} | ACTS.keys()


@pytest.mark.parametrize("name", LISTS)
def test_an_auditor_reads_every_list(reader, name):
    assert reader.get(reverse(f"inventory:{name}")).status_code == 200


@pytest.mark.parametrize("name", LISTS)
def test_a_login_without_a_role_reads_nothing(db, operator, name):
    operator.groups.clear()
    client = Client()
    client.force_login(operator, backend="workshop.backends.PasswordBackend")
    assert client.get(reverse(f"inventory:{name}")).status_code == 403


@pytest.mark.parametrize("name", LISTS)
def test_nobody_reads_without_a_login(db, name):
    answer = Client().get(reverse(f"inventory:{name}"))
    assert answer.url.startswith(reverse("login"))


def test_the_routes_are_part_of_the_project():
    assert set(ROUTES) <= set(get_resolver().namespace_dict["inventory"][1].reverse_dict.keys())


def test_a_superuser_counts_as_a_lead(db):
    boss = make_person("auditor", "boss")
    boss.is_superuser = True
    boss.save()
    client = Client()
    client.force_login(boss, backend="workshop.backends.PasswordBackend")
    assert client.get(reverse("inventory:bin-create")).status_code == 200
