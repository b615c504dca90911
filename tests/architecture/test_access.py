"""Who may open what: every address with every role, read from the resolver itself."""

from uuid import UUID

import pytest
from django.test import Client
from django.urls import URLPattern, URLResolver, get_resolver, reverse

from inventory.queries.access import ACTS, AUDITOR, LEAD, OPERATOR, ROLES
from tests.factories.people import make_person, signed_in

PUBLIC = {"login", "logout", "scan", "scan-code", "verify", "verify-script", "worker"}
PUBLIC |= {"products:design-schema", "products:design-schema-1", "products:design-schema-2"}
PUBLIC |= {"thing-id", "lot-id"}
NOT_OURS = ("admin:",)
SAMPLES = {
    "code": "0" * 12,
    "pk": 999_999,
    "id": 999_999,
    "uuid": UUID(int=1),
    "number": 1,
    "slug": "none",
    "symbol": "none",
}

pytestmark = pytest.mark.django_db


def routes(patterns, space=""):
    for pattern in patterns:
        if isinstance(pattern, URLResolver):
            inner = f"{space}{pattern.namespace}:" if pattern.namespace else space
            yield from routes(pattern.url_patterns, inner)
        elif isinstance(pattern, URLPattern) and pattern.name:
            yield f"{space}{pattern.name}", pattern


ALL = {
    name: pattern
    for name, pattern in routes(get_resolver().url_patterns)
    if not name.startswith(NOT_OURS)
}
GUARDED = sorted(ALL.keys() - PUBLIC)


def act_of(name):
    callback = ALL[name].callback
    view = getattr(callback, "cls", None) or callback
    return getattr(view, "act", None)


def address(name):
    converters = ALL[name].pattern.converters
    return reverse(name, kwargs={key: SAMPLES[key] for key in converters})


def test_every_address_says_which_act_it_is():
    assert [name for name in GUARDED if act_of(name) is None] == []
    assert {act_of(name) for name in GUARDED} - ACTS.keys() - {""} == set()


def test_only_listed_pages_are_public():
    opened = [name for name in ALL if not getattr(ALL[name].callback, "login_required", True)]
    api = [name for name in opened if getattr(ALL[name].callback, "cls", None)]
    assert set(opened) - set(api) == PUBLIC - {"logout"}


def test_nobody_comes_in_without_a_login():
    answers = {name: Client().get(address(name)) for name in GUARDED}
    assert [name for name, answer in answers.items() if not is_turned_away(answer)] == []


def is_turned_away(answer):
    return answer.status_code in {401, 405} or "/login/" in answer.headers.get("Location", "")


@pytest.mark.parametrize("role", ROLES)
def test_each_role_opens_what_the_table_allows(role):
    client = signed_in(make_person(role))
    opened = {name for name in GUARDED if status(client, name) != 403}
    allowed = {name for name in GUARDED if not act_of(name) or role in ACTS[act_of(name)]}
    assert (opened - allowed, allowed - opened) == (set(), set())


def status(client, name):
    """Return what a page answers to being opened, or a route that acts to an empty body."""
    acts = hasattr(ALL[name].callback, "cls") and act_of(name)
    return (client.post if acts else client.get)(address(name)).status_code


def test_auditors_make_audit_files_and_nothing_else_and_leads_everything():
    assert {act for act, roles in ACTS.items() if AUDITOR in roles} == {"audit.make"}
    assert {act for act, roles in ACTS.items() if LEAD not in roles} == set()
    assert OPERATOR not in ACTS["posting.reverse"] | ACTS["hold.lift"]
