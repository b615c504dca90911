"""What stands before every page: whose entry it is, and what a bench may do."""

from uuid import uuid4

import pytest
from django.http import HttpResponse, StreamingHttpResponse
from django.test import RequestFactory
from rest_framework.authtoken.models import Token

from tests.factories.people import PIN, enter_pin, give_pin, make_bench, make_person, signed_in
from tests.factories.workshop import MachineFactory
from workshop.middleware import bare_head
from workshop.models import Purge, Turn

pytestmark = pytest.mark.django_db


@pytest.fixture
def mina():
    return give_pin(make_person("operator", "mina"))


@pytest.fixture
def tablet():
    return signed_in(make_bench())


@pytest.fixture
def press():
    return MachineFactory(name="Sheet press")


def purge(tablet, press, **headers):
    sent = {"key": str(uuid4()), "reason": "run clear"}
    return tablet.post(f"/machines/{press.pk}/purge/", sent, headers=headers)


def api_purge(tablet, press, **headers):
    body = {"uuid": str(uuid4()), "reason": "run clear"}
    address = f"/api/machines/{press.pk}/purges/"
    return tablet.post(address, body, content_type="application/json", headers=headers)


def told(answer):
    return answer.status_code, answer.json()["code"]


# RFC 9110, 9.3.2: the server must not send content in the response to HEAD. Django's test client
# drops it by itself, so the middleware is asked directly; it stands before all others.
@pytest.mark.parametrize("answer", [HttpResponse, StreamingHttpResponse])
def test_head_has_the_head_of_the_answer_and_no_body(answer, settings):
    assert settings.MIDDLEWARE[0] == "workshop.middleware.bare_head"
    headers = {"Content-Length": "4", "Content-Type": "text/csv"}

    def asked(method):
        ask = bare_head(lambda request: answer([b"a,", b"b\n"], headers=headers, status=203))
        return ask(RequestFactory().generic(method, "/"))

    assert b"".join(asked("GET")) == b"a,b\n"
    head = asked("HEAD")
    assert (head.status_code, dict(head.headers), b"".join(head)) == (203, headers, b"")


def test_head_of_a_stream_leaves_no_chunk_behind():
    ask = bare_head(lambda request: StreamingHttpResponse([b"a"]))
    assert ask(RequestFactory().head("/")).headers["Content-Length"] == "0"


@pytest.mark.parametrize(
    "address",
    ["/parts/%00/", "/labels/%00/label.svg", "/runs/%00/", "/runs/R-1%00/load/", "/trace/a%00/"],
)
def test_nothing_is_looked_up_at_an_address_with_a_nul(address, django_assert_num_queries):
    client = signed_in(make_person("operator", "mina"))
    with django_assert_num_queries(0):
        assert client.get(address).status_code == 404


def test_an_entry_of_who_is_here_is_booked(tablet, mina, press):
    enter_pin(tablet, mina)
    purge(tablet, press, **{"X-Typed-By": "mina"})
    assert Purge.objects.get().by == mina


def test_an_entry_of_somebody_else_is_not_booked(tablet, mina, press):
    enter_pin(tablet, mina)
    answer = purge(tablet, press, **{"X-Typed-By": "bo"})
    assert told(answer) == (409, "other-person")
    assert "waits until bo is back" in answer.json()["detail"]
    assert not Purge.objects.exists()


def test_an_entry_of_somebody_else_is_not_booked_after_a_password_either(operator, press, client):
    client.force_login(operator, backend="workshop.backends.PasswordBackend")
    assert told(purge(client, press, **{"X-Typed-By": "mina"})) == (409, "other-person")
    assert not Purge.objects.exists()


def test_an_entry_of_somebody_else_is_not_booked_by_the_api_either(tablet, mina, press):
    enter_pin(tablet, mina)
    assert told(api_purge(tablet, press, **{"X-Typed-By": "bo"})) == (409, "other-person")
    assert not Purge.objects.exists()


def test_a_name_beyond_ascii_comes_quoted(tablet, press):
    person = give_pin(make_person("operator", "jürgen"))
    enter_pin(tablet, person)
    purge(tablet, press, **{"X-Typed-By": "j%C3%BCrgen"})
    assert Purge.objects.get().by == person


def test_an_entry_for_a_locked_bench_waits(tablet, press):
    answer = purge(tablet, press, **{"X-Typed-By": "mina"})
    assert told(answer) == (403, "pick-your-name")
    assert "typed" not in tablet.session


def test_an_entry_of_nobody_waits(client, press):
    assert told(purge(client, press, **{"X-Typed-By": "mina"})) == (401, "not-authenticated")


def test_the_api_of_a_bench_books_to_who_typed_the_pin(tablet, mina, press):
    assert told(api_purge(tablet, press)) == (403, "pick-your-name")
    enter_pin(tablet, mina)
    assert api_purge(tablet, press).json()["by"] == "mina"


def test_a_token_counts_whoever_works_at_the_bench(tablet, mina, press, lead):
    token = f"Token {Token.objects.create(user=lead).key}"
    assert api_purge(tablet, press, Authorization=token).json()["by"] == lead.username


def test_a_made_up_token_opens_no_locked_bench(tablet, press):
    for sent in ("Token none", "Basic eDp5", "x"):
        answer = api_purge(tablet, press, Authorization=sent)
        assert answer.status_code in {401, 403}
    assert not Purge.objects.exists()


def test_a_token_of_a_bench_may_nothing(press, client):
    token = f"Token {Token.objects.create(user=make_bench()).key}"
    assert told(api_purge(client, press, Authorization=token)) == (403, "forbidden")


def test_a_token_is_given_to_no_bench(client):
    make_bench("bench")
    body = {"username": "bench", "password": "a-long-test-password"}
    answer = client.post("/api/token/", body, content_type="application/json")
    assert told(answer) == (422, "not-a-person")
    assert not Token.objects.exists()


def test_who_left_is_gone_from_the_bench_at_once(tablet, mina):
    enter_pin(tablet, mina)
    mina.is_active = False
    mina.save()
    assert tablet.get("/").headers["Location"].startswith("/bench/")


def test_a_login_made_a_bench_stops_acting_at_once(operator, client):
    client.force_login(operator, backend="workshop.backends.PasswordBackend")
    operator.groups.add(make_bench().groups.get())
    assert client.get("/").headers["Location"] == "/bench/?next=/"


def test_a_scan_at_a_locked_bench_comes_back_after_the_pin(tablet, mina):
    where = tablet.get("/q/?code=B-01").headers["Location"]
    assert where == "/bench/?next=/q/%3Fcode%3DB-01"


@pytest.mark.parametrize("key", ["1", None, [], {}, 1.0, 10**30, -1])
def test_a_session_that_names_no_turn_is_a_locked_one(tablet, mina, key):
    session = tablet.session
    session["turn"] = key
    session.save()
    assert tablet.get("/").status_code == 302


def test_a_pin_is_asked_for_by_post_only(tablet, mina):
    tablet.get(f"/bench/{mina.pk}/?pin={PIN}")
    assert not Turn.objects.exists()


@pytest.mark.parametrize("length", ["12582913", "99999999999999999999", "-1", "x"])
@pytest.mark.parametrize("address", ["/q/photo/", "/api/scan-photos/", "/login/"])
def test_a_body_that_is_too_large_is_not_read(length, address, client):
    told = {"CONTENT_LENGTH": length, "HTTP_ACCEPT": "application/json"}
    answer = client.generic("POST", address, b"x", content_type="multipart/form-data", **told)
    assert (answer.status_code, answer.json()["code"]) == (413, "too-large")


def test_a_person_is_told_that_a_body_is_too_large(client):
    told = {"CONTENT_LENGTH": "12582913", "HTTP_ACCEPT": "text/html,*/*"}
    answer = client.generic("POST", "/q/photo/", b"x", **told)
    assert answer.status_code == 413
    assert "send a smaller file" in answer.content.decode()


# RFC 9111, 5.2.2.7 and 5.2.2.4: no shared cache keeps it, and a private one asks again before it is shown.
def test_a_page_of_somebody_logged_in_is_kept_by_nobody_on_the_way(operator):
    answer = signed_in(operator).get("/bins/")
    assert answer.headers["Cache-Control"] == "private, no-cache"


def test_what_a_view_says_of_keeping_stands(operator):
    assert signed_in(operator).get("/deliveries/new/").headers["Cache-Control"] == "no-store"
