"""What a first visit of the working pages costs on a bad network, as production serves them."""

import pytest
from django.core.management import call_command
from django.test import Client, override_settings

from tests.benchmarks.pages import first_visit
from tests.factories.people import make_person
from tests.journeys.small_workshop import address_of, build, page_names
from workshop.settings import STORAGES

pytestmark = [pytest.mark.django_db, pytest.mark.one_database]

MOST_BYTES = 100_000  # the project's own figure for any working page
MOST_REQUESTS = 20  # the page, one sheet, a script for each matter, the glyphs, the worker
NAMES = [
    "home", "scan", "workshop:run-list", "workshop:run-open", "workshop:run-detail",
    "workshop:run-load", "workshop:run-yield", "workshop:run-make", "workshop:run-close",
    "workshop:machine-detail", "workshop:visit-detail", "workshop:visit-settle",
    "inventory:bin-board", "inventory:bin-detail", "inventory:bin-count", "inventory:lot-detail",
    "inventory:lot-move", "inventory:delivery-list", "inventory:delivery-create",
    "inventory:round-detail", "inventory:trace", "products:product-list", "products:label-list",
]  # fmt: skip


@pytest.fixture(scope="module")
def served(tmp_path_factory):
    """The folder of static files as collectstatic leaves them, with pages that name them so."""
    folder = tmp_path_factory.mktemp("static")
    with override_settings(STATIC_ROOT=folder, STORAGES=STORAGES):
        call_command("collectstatic", verbosity=0, interactive=False)
        yield folder


@pytest.fixture
def costs(served):
    """Status, requests and compressed bytes of a first visit of each page."""
    client, lead = Client(), make_person("lead")
    client.force_login(lead, backend="workshop.backends.PasswordBackend")
    things, patterns = build(lead), page_names()
    visits = {name: address_of(name, patterns[name], things) for name in NAMES}
    return {name: first_visit(client, path, served) for name, path in visits.items()}


def test_a_first_visit_of_each_working_page_is_light(costs):
    assert {status for status, _requests, _size in costs.values()} == {200}
    heavy = {name: size for name, (_status, _requests, size) in costs.items() if size >= MOST_BYTES}
    many = {name: asked for name, (_status, asked, _size) in costs.items() if asked > MOST_REQUESTS}
    assert (heavy, many) == ({}, {})
