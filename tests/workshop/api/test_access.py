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


EVERY_ROLE = pytest.mark.parametrize("role", ["operator", "lead", "auditor"])


def body_format(route) -> str:
    """How the route takes a body: photos come as multipart/form-data alone."""
    return "multipart" if route.callback.cls.parser_classes == [MultiPartParser] else "json"


def may(route, role) -> bool:
    return role in ACTS[route.callback.cls.act]


def answers(routes, ask) -> dict[str, tuple[int, str]]:
    """Return status and code of what each route answers, by its name."""
    assert routes
    found = {route.name: ask(route) for route in routes}
    return {name: (got.status_code, code_of(got)) for name, got in found.items()}


def code_of(answer) -> str:
    """Return the code of a refusal, or nothing."""
    return answer.json()["code"] if answer.status_code >= 400 else ""


def but(expected, found) -> dict:
    """Return what was answered otherwise."""
    return {name: answer for name, answer in found.items() if answer != expected}


def test_every_route_says_which_act_it_is():
    acts = {route.name: route.callback.cls.act for route in api_routes()}
    assert {name: act for name, act in acts.items() if act != "" and act not in ACTS} == {}


def test_every_route_that_writes_names_its_act():
    acts = {route.name: route.callback.cls.act for route in WRITES}
    assert {name: act for name, act in acts.items() if act not in ACTS} == {}


@EVERY_ROLE
def test_every_role_may_read(role):
    client = client_of(make_person(role))
    found = answers(READS, lambda route: client.get(address(route)))
    asked = {name for name, (status, _code) in found.items() if status == 400}
    assert asked == NEEDS_A_QUESTION
    statuses = {name: status for name, (status, _code) in found.items() if name not in asked}
    assert {name: status for name, status in statuses.items() if status not in {200, 404}} == {}


@EVERY_ROLE
def test_a_role_of_the_table_gets_as_far_as_the_body(role):
    client = client_of(make_person(role))
    routes = [route for route in WRITES if may(route, role)]
    found = {route.name: post_nothing(client, route) for route in routes}
    assert [name for name, got in found.items() if got.status_code != 400] == []
    assert [name for name, got in found.items() if "uuid" not in got.json()["fields"]] == []


def post_nothing(client, route):
    return client.post(address(route), {}, format=body_format(route))


@pytest.mark.parametrize("role", ["operator", "auditor"])  # a lead may do everything
def test_a_role_not_in_the_table_is_turned_away(role):
    client = client_of(make_person(role))
    routes = [route for route in WRITES if not may(route, role)]
    found = answers(routes, lambda route: client.post(address(route), {}, format="json"))
    assert but((403, "forbidden"), found) == {}


def test_a_login_without_a_role_reads_nothing():
    client = client_of(User.objects.create_user("nobody-yet"))
    found = answers(CLOSED, lambda route: client.get(address(route)))
    assert but((403, "forbidden"), found) == {}


def test_a_stranger_reads_nothing():
    found = answers(CLOSED, lambda route: APIClient().get(address(route)))
    assert but((401, "not-authenticated"), found) == {}


def test_a_stranger_writes_nothing():
    found = answers(WRITES, lambda route: APIClient().post(address(route), {}, format="json"))
    assert but((401, "not-authenticated"), found) == {}


def test_somebody_who_left_is_turned_away(operator):
    operator.is_active = False
    answer = client_of(operator).get("/api/bins/")
    assert answer.status_code == 403
