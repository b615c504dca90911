"""No page, and no list of the API, reads the book whole: every address of the resolver is asked."""

import pytest
from django.db import connection
from django.test import Client
from django.urls import NoReverseMatch, reverse

from inventory.models import Lot, Posting
from tests.factories.api import client_of
from tests.journeys.plans import collected, read_whole
from tests.journeys.small_workshop import address_of, build, page_names
from tests.workshop.api.test_access import EXAMPLES, READS

pytestmark = pytest.mark.django_db

# What reads a table whole, and why it may. Searching for a part of a word and sorting by
# what no index holds are asked for by hand and now and then; an index for each would cost
# every posting.
READS_WHOLE = {
    "home": {"inventory_lot"},  # the stock by polymer; the sum is remembered up to a minute
}
# A verification reads all of a book, which may not be large.
VERIFIES = {
    "inventory:verification-detail",
    "verification",
}
NO_PAGES = {"logout", "worker"}
WAYS = {  # to narrow and to sort, that many use
    "inventory:lot-list": ["kind=fill", "state=held", "state=unknown", "state=all", "sort=opened"],
    "inventory:posting-list": ["sort=recorded", "sort=-happened", "since=2026-01-01", "q=P-1"],
    "inventory:delivery-list": ["state=accepted", "q=D-1"],
    "inventory:bin-board": ["state=held", "sort=-held", "sort=counted", "polymer=PP"],
    "inventory:count-list": ["sort=counted", "state=corrected"],
    "inventory:hold-list": ["state=all", "sort=placed"],
    "products:part-list": ["state=in-stock", "sort=made", "polymer=PP"],
    "products:product-list": ["sort=-stock"],
    "workshop:run-list": ["state=open", "sort=number", "q=R-1"],
}
API_WAYS = {
    "lots": ["open=true", "on_hold=true", "kind=fill", "bin=T-90"],
    "postings": ["ordering=happened_at", "reversed=true", "reference=run R-0001"],
    "deliveries": ["accepted=true"],
    "parts": ["state=in-stock"],
    "runs": ["state=open"],
}


def found_by(client, paths) -> set[str]:
    """The tables that answering some addresses would read whole."""
    with collected() as asked:
        for path in paths:
            assert client.get(path, headers={"accept": "text/html, */*"}).status_code < 500
    return {table for sql, params in asked.items() for table in read_whole(sql, params)}


def wholly_read(client, addresses: dict[str, list[str]]) -> dict[str, set[str]]:
    """The tables that are read whole, by name of the address."""
    found = {name: found_by(client, paths) for name, paths in addresses.items()}
    return {name: tables for name, tables in found.items() if tables}


def page_addresses(things) -> dict[str, list[str]]:
    addresses = {}
    for name, pattern in page_names().items():
        if name not in NO_PAGES and "photo" not in name:
            try:
                path = address_of(name, pattern, things)
            except NoReverseMatch:  # the small workshop has no example of it
                continue
            addresses[name] = [path, *(f"{path}?{way}" for way in WAYS.get(name, []))]
    report = reverse("workshop:cost-trend")
    addresses["workshop:cost-trend"].append(f"{report}?design={things['design']}")
    return addresses


def api_addresses(things) -> dict[str, list[str]]:
    things = things | {"proof": things["posting"]}
    addresses = {}
    for route in READS:
        about = things.get(route.name.split("-")[0], None)
        names = {name: about or EXAMPLES[name] for name in route.pattern.regex.groupindex}
        if route.name == "run-photo":
            names["uuid"] = EXAMPLES["uuid"]
        path = reverse(f"api:{route.name}", kwargs=names)
        ways = [f"page_size=1&{way}" for way in ["", *API_WAYS.get(route.name, [])]]
        addresses[route.name] = [path, *(f"{path}?{way}" for way in ways)]
    return addresses


def test_no_page_reads_the_book_whole(lead):
    things = build(lead)
    client = Client()
    client.force_login(lead)
    addresses = page_addresses(things)
    assert len(addresses) > 100
    found = wholly_read(client, addresses)
    assert VERIFIES & found.keys()
    found = {name: tables for name, tables in found.items() if name not in VERIFIES}
    if connection.vendor == "postgresql":  # there an index of what is open serves the sum too
        found |= READS_WHOLE
    assert found == READS_WHOLE


def test_no_list_of_the_api_reads_the_book_whole(lead):
    addresses = api_addresses(build(lead))
    client = client_of(lead)
    assert len(addresses) > 50
    assert wholly_read(client, addresses).keys() == VERIFIES & addresses.keys()


def test_the_second_page_of_a_list_begins_in_an_index(lead):
    build(lead)
    client = client_of(lead)
    for name in ("lots", "postings", "deliveries", "parts"):
        first = client.get(f"/api/{name}/?page_size=1").json()
        assert found_by(client, [first["next"]]) == set()


WHOLE = {
    "a sum": lambda: Lot.objects.filter(in_mg__gt=5).order_by(),
    "a sort": lambda: Posting.objects.order_by("reason")[:5],
    "a search": lambda: Posting.objects.filter(reason__contains="x").order_by(),
    "a list of keys": lambda: Posting.objects.filter(
        pk__in=Lot.objects.filter(in_mg=7).order_by().values("filled_by")
    ).order_by(),
}


@pytest.mark.parametrize("what", WHOLE)
def test_reading_whole_is_seen(what):
    with collected() as asked:
        list(WHOLE[what]())
    ((sql, params),) = asked.items()
    is_walked = what == "a list of keys" and connection.vendor == "postgresql"  # along an index
    assert is_walked or read_whole(sql, params)


def test_a_walk_that_ends_early_and_a_look_into_an_index_are_none():
    with collected() as asked:
        list(Posting.objects.all()[:5])
        list(Posting.objects.filter(reference="x").order_by())
    assert [read_whole(sql, params) for sql, params in asked.items()] == [[], []]
