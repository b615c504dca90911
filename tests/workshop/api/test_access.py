"""Every route of the API against every role, from the URL resolver."""

import pytest
from django.contrib.auth.models import User
from django.urls import URLPattern, get_resolver, reverse
from rest_framework.parsers import MultiPartParser
from rest_framework.test import APIClient

from inventory.queries.access import ACTS
from tests.factories.api import client_of
from tests.factories.people import make_person

pytestmark = pytest.mark.django_db

EXAMPLES = {
    "slug": "sheet-charge",
    "symbol": "PP",
    "code": "ABCDEFGHJKMN",
    "id": 1,
    "number": 1,
    "uuid": "0d7dbb0e-6d5c-4b57-9d0f-8f6b8c1f0e11",
}
OPEN = {"token"}


def routes(patterns):
    for pattern in patterns:
        if isinstance(pattern, URLPattern):
            yield pattern
        else:
            yield from routes(pattern.url_patterns)


def api_routes():
    api = next(p for p in get_resolver().url_patterns if getattr(p, "namespace", "") == "api")
    return list(routes(api.url_patterns))


def address(route) -> str:
    names = route.pattern.regex.groupindex
    return reverse(f"api:{route.name}", kwargs={name: EXAMPLES[name] for name in names})


CLOSED = [route for route in api_routes() if route.name not in OPEN]
READS = [route for route in CLOSED if hasattr(route.callback.cls, "get")]
EXPORTS = {"export-epcis", "export-prov-json", "export-prov-n"}
NEEDS_A_QUESTION = {
    "plans",
    "stamp-svg",
    "stamp-dxf",
    "whereabouts",
    *EXPORTS,
}  # of nothing is refused
ASKS_BY_POST = {
    "mark-parse",
    "correction-effect",
    "cut-plan",
    "lineage-look",
    "scan-frames",
    "scan-photos",
    "visit-piece-label",
}  # a question whose text is too long, or too private, for an address; nothing is written
WRITES = [r for r in CLOSED if hasattr(r.callback.cls, "post") and r.name not in ASKS_BY_POST]
PAIRS = [(route, role) for route in WRITES for role in ("operator", "lead", "auditor")]
MAY = [(route, role) for route, role in PAIRS if role in ACTS[route.callback.cls.act]]
MAY_NOT = [pair for pair in PAIRS if pair not in MAY]


def body_format(route) -> str:
    """How the route takes a body: photos come as multipart/form-data alone."""
    return "multipart" if route.callback.cls.parser_classes == [MultiPartParser] else "json"


def each(pairs):
    return pytest.mark.parametrize(("route", "role"), pairs, ids=lambda x: getattr(x, "name", x))


def each_route(found):
    return pytest.mark.parametrize("route", found, ids=lambda route: route.name)


@each_route(api_routes())
def test_every_route_says_which_act_it_is(route):
    assert route.callback.cls.act == "" or route.callback.cls.act in ACTS


@each_route(WRITES)
def test_every_route_that_writes_names_its_act(route):
    assert route.callback.cls.act in ACTS


@each([(route, role) for route in READS for role in ("operator", "lead", "auditor")])
def test_every_role_may_read(route, role):
    answer = client_of(make_person(role)).get(address(route))
    assert answer.status_code in ({400} if route.name in NEEDS_A_QUESTION else {200, 404})


@each(MAY)
def test_a_role_of_the_table_gets_as_far_as_the_body(route, role):
    answer = client_of(make_person(role)).post(address(route), {}, format=body_format(route))
    assert answer.status_code == 400
    assert "uuid" in answer.json()["fields"]


@each(MAY_NOT)
def test_a_role_not_in_the_table_is_turned_away(route, role):
    answer = client_of(make_person(role)).post(address(route), {}, format="json")
    assert (answer.status_code, answer.json()["code"]) == (403, "forbidden")


@each_route(CLOSED)
def test_a_login_without_a_role_reads_nothing(route):
    answer = client_of(User.objects.create_user("nobody-yet")).get(address(route))
    assert (answer.status_code, answer.json()["code"]) == (403, "forbidden")


@each_route(CLOSED)
def test_a_stranger_reads_nothing(route):
    answer = APIClient().get(address(route))
    assert (answer.status_code, answer.json()["code"]) == (401, "not-authenticated")


@each_route(WRITES)
def test_a_stranger_writes_nothing(route):
    answer = APIClient().post(address(route), {}, format="json")
    assert (answer.status_code, answer.json()["code"]) == (401, "not-authenticated")


def test_somebody_who_left_is_turned_away(operator):
    operator.is_active = False
    answer = client_of(operator).get("/api/bins/")
    assert answer.status_code == 403
