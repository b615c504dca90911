"""Requests that no page of ours sends: other methods, no token, another host; each is answered in a sentence."""

from urllib.parse import urlsplit

import pytest
from django.test import Client
from django.test.client import MULTIPART_CONTENT
from django.urls import get_resolver, reverse

from inventory.models import Change, Posting
from inventory.queries.access import LEAD
from tests.architecture.test_access import ALL, address, routes
from tests.factories.people import PASSWORD, PIN, give_pin, make_bench, make_person, signed_in

pytestmark = [pytest.mark.django_db, pytest.mark.one_database]

PAGES = {name: address(name) for name in ALL if not name.startswith("api:")}
API = {name: address(name) for name in ALL if name.startswith("api:")}
ENDS = (":index", ":login", ":logout", "_changelist", "_add")
NAMED = [name for name, _way in routes(get_resolver().url_patterns)]
ADMIN = {n: reverse(n) for n in NAMED if n.startswith("admin:") and n.endswith(ENDS)}
PHOTOS = {"api:run-photos", "api:scan-frames", "api:scan-photos"}
METHODS = [
    ("PUT", LEAD), ("PATCH", None), ("DELETE", LEAD), ("OPTIONS", None), ("TRACE", LEAD), ("PROPFIND", None),
]  # fmt: skip
ELSEWHERE = [
    "https://elsewhere.test/",
    "//elsewhere.test/",
    "///elsewhere.test/",
    "/\\elsewhere.test/",
    "\\\\elsewhere.test",
    "http:elsewhere.test",
    " https://elsewhere.test/",
    "/\t/elsewhere.test/",
    "javascript:alert(1)",
    "data:text/html,x",
    "https://testserver@elsewhere.test/",
    "/" + "a" * 5000,
]


def book() -> int:
    return Posting.objects.count() + Change.objects.count()


def post(client, name, path, headers):
    """Send an empty body of the kind that the address reads."""
    kind = MULTIPART_CONTENT if name in PHOTOS or name not in API else "application/json"
    return client.post(path, {}, content_type=kind, headers=headers)


def others(answers, *statuses) -> dict:
    return {name: a.status_code for name, a in answers.items() if a.status_code not in statuses}


# RFC 9110, 15.5.6: 405 names the methods that the address knows.
@pytest.mark.parametrize(("method", "who"), METHODS)
def test_no_page_takes_another_method_for_a_get(method, who):
    client = signed_in(make_person(who)) if who else Client()
    client.defaults["HTTP_ACCEPT"] = "text/html"
    answers = {name: client.generic(method, path) for name, path in (PAGES | ADMIN).items()}
    assert len(answers) > 150
    assert others(answers, 405) == {}
    assert {a.headers["Allow"] for a in answers.values()} == {"GET, HEAD, POST"}
    assert all("<h1" in a.content.decode() for a in answers.values())


def test_a_program_is_told_so_in_the_shape_of_the_api():
    answer = Client().delete("/bins/")
    assert (answer.status_code, answer.json()["code"]) == (405, "method-not-allowed")
    assert answer.json()["detail"].endswith(".")


def test_a_page_that_only_acts_says_so_when_it_is_opened(lead):
    client = signed_in(lead)
    answer = client.get(reverse("hand"), headers={"accept": "text/html"})
    assert (answer.status_code, answer.headers["Allow"]) == (405, "POST")
    assert "nothing was recorded" in answer.content.decode()


# A signed-in browser that another site makes post: without a token, with one that was made up, and
# with a true one from an origin that is not ours (Fetch standard, 3.2: the Origin header).
@pytest.mark.parametrize("forged", ["nothing", "token", "origin"])
def test_no_address_acts_for_a_browser_that_another_site_makes_post(lead, forged):
    client = Client(enforce_csrf_checks=True, headers={"accept": "text/html, */*"})
    client.force_login(lead, backend="workshop.backends.PasswordBackend")
    client.get("/bins/new/")
    true = client.cookies["csrftoken"].value
    headers = {
        "nothing": {},
        "token": {"X-CSRFToken": "a" * 64},
        "origin": {"X-CSRFToken": true, "Origin": "https://elsewhere.test"},
    }[forged]
    before = book()
    every = PAGES | ADMIN | API
    answers = {name: post(client, name, path, headers) for name, path in every.items()}
    assert others(answers, 403) == {"api:token": 400}  # it asks for the password itself
    assert book() == before


@pytest.mark.parametrize("host", ["elsewhere.test", "testserver:x", "a b", "testserver,elsewhere"])
def test_a_host_that_is_not_ours_is_answered_in_a_sentence(lead, host):
    client = signed_in(lead)
    for path in ("/", "/login/", "/bins/", "/q/NOSUCH/", "/api/bins/"):
        answer = client.get(path, headers={"host": host, "accept": "text/html"})
        assert answer.status_code == 400, path
        assert "elsewhere" not in answer.content.decode()


def is_ours(answer) -> bool:
    """Return whether an answer leads nowhere, or to a page of ours, however a browser reads it."""
    where = answer.headers.get("Location", "")
    plain = where.replace("\\", "/").replace("\t", "").strip()
    parts = urlsplit(plain)
    return not (parts.scheme or parts.netloc or plain.startswith("//"))


@pytest.mark.parametrize("where", ELSEWHERE)
def test_logging_in_and_out_leads_nowhere_else(where, operator):
    client = Client()
    sent = {"username": operator.username, "password": PASSWORD, "next": where}
    answer = client.post("/login/", sent, query_params={"next": where})
    assert answer.status_code == 302
    assert is_ours(answer)
    assert is_ours(client.get("/login/", {"next": where}))
    assert is_ours(client.post("/logout/", {"next": where}, query_params={"next": where}))


@pytest.mark.parametrize("where", ELSEWHERE)
def test_a_pin_leads_nowhere_else(where, operator):
    tablet, person = signed_in(make_bench()), give_pin(operator)
    for path in ("/bench/", f"/bench/{person.pk}/"):
        assert is_ours(tablet.get(path, {"next": where}))
    sent = {"pin": PIN, "next": where}
    answer = tablet.post(f"/bench/{person.pk}/", sent, query_params={"next": where})
    assert answer.status_code == 302
    assert is_ours(answer)


@pytest.mark.parametrize("where", ELSEWHERE)
def test_choosing_a_hand_leads_back_to_no_other_site(where, operator):
    client = signed_in(operator)
    headers = {"referer": where.replace("\t", "")}
    assert is_ours(client.post(reverse("hand"), {"hand": "left"}, headers=headers))
