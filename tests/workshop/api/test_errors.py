"""Whatever is wrong, the answer has one shape and is never a fault of the server."""

import json
from uuid import uuid4

import pytest
from django.db import IntegrityError
from rest_framework.test import APIClient

from inventory.models import Posting
from tests.factories.api import client_of, receipt_body, send
from tests.factories.inventory import KG, BinFactory, make_full_bin
from tests.factories.people import PASSWORD
from workshop.api.errors import answer_fault, answer_refusal

pytestmark = pytest.mark.django_db

WRONG_MASSES = [
    0,
    -1,
    1.0,
    1.5,
    1e300,
    "5",
    True,
    [],
    {},
    10**14 + 1,
    10**400,
    "\x00",
    [1],
]
WRONG_TEXTS = [
    5,
    1.5,
    True,
    ["blue"],
    {"name": "blue"},
    "",
    "no such thing",
    "\x00",
    "\ud800",
    "x" * 5000,
]
BAD_BODIES = [
    b"{",
    b"",
    b"null",
    b"7",
    b'"text"',
    b"[]",
    b'[{"uuid": 1}]',
    b'{"uuid": NaN}',
    b"\xff\xfe",
    b"[" * 100_000,
    b'{"a":' * 100_000,
    b'{"uuid": ' + b"9" * 5000 + b"}",
    b'{"\\ud800": 1}',
    b'{"\\u0000": 1}',
]
BAD_QUERIES = [
    "page=0",
    "page=-1",
    "page=x",
    "page=99999999999999999999999",
    "page=%00",
    "page_size=0",
    "page_size=x",
    "page_size=501",
    "page_size=99999999999999999999999",
    "page_size=%D9%A3",
    "page_size=0000000019999999999",
    "page_size=000000001" + "9" * 5000,
    "ordering=mass",
    "ordering=%00",
    "colour__name=blue",
    "polymr=PP",
    "opened_from=yesterday",
    "opened_from=0001-01-01T00:00:00%2B14:00",
    "opened_until=9999-12-31T23:59:59-14:00",
    "open=perhaps",
    "kind=none",
    "search=%00",
    "search=" + "a," * 2000,
    "ordering=" + "opened_at,-opened_at," * 1500 + "mass",
    "polymer=%00",
    "%00=1",
    "%F0%9F=1",
]


def shape(answer) -> list[str]:
    return sorted(answer.json())


def assert_refused(answer, *statuses):
    assert answer.status_code in (statuses or range(400, 500)), answer.content
    assert shape(answer) == ["code", "detail", "fields"]
    assert isinstance(answer.json()["fields"], dict)


@pytest.mark.parametrize("mass", WRONG_MASSES, ids=lambda mass: str(mass)[:12])
def test_refuses_what_is_no_whole_mass(api_client, operator, mass):
    _bin, lot = make_full_bin(operator)
    answer = send(api_client, "moves/", lot=lot.code, to_bin=BinFactory().name, mass_mg=mass)
    assert_refused(answer, 400)
    assert "mass_mg" in answer.json()["fields"]
    assert Posting.objects.count() == 1


@pytest.mark.parametrize("name", ["source", "polymer", "colour", "scale", "bin"])
@pytest.mark.parametrize("text", WRONG_TEXTS, ids=lambda text: ascii(text)[:12])
def test_refuses_what_names_nothing(api_client, name, text):
    answer = send(api_client, "deliveries/", **receipt_body() | {name: text})
    assert_refused(answer, 400)
    assert list(answer.json()["fields"]) == [name]


@pytest.mark.parametrize("body", BAD_BODIES, ids=lambda body: ascii(body)[:12])
def test_refuses_a_body_that_is_no_act(api_client, body):
    answer = api_client.generic("POST", "/api/moves/", body, content_type="application/json")
    assert_refused(answer, 400)


@pytest.mark.parametrize("query", BAD_QUERIES, ids=lambda query: query[:24])
def test_refuses_a_query_that_means_nothing(api_client, query):
    assert_refused(api_client.get(f"/api/lots/?{query}"), 400, 404)


@pytest.mark.parametrize("name", ["uuid", "happened_at", "reason", "lot"])
@pytest.mark.parametrize("value", [7, True, [], {}, "\x00", "\ud800", "x" * 400])
def test_refuses_an_envelope_of_the_wrong_type(api_client, name, value):
    answer = send(api_client, "disposals/", **{name: value})
    assert_refused(answer, 400)
    assert name in answer.json()["fields"]


@pytest.mark.parametrize(
    "moment",
    ["0001-01-01T00:00:00+14:00", "9999-12-31T23:59:59-14:00", "1999-12-31T23:59:59Z", "12"],
)
def test_refuses_a_time_that_cannot_be(api_client, operator, moment):
    _bin, lot = make_full_bin(operator)
    answer = send(api_client, "disposals/", lot=lot.code, reason="wet", happened_at=moment)
    assert_refused(answer, 400, 422)
    assert Posting.objects.count() == 1


@pytest.mark.parametrize(
    "address",
    [
        "bins/%00/",
        "bins/" + "x" * 3000 + "/",
        "bins/%F0%9F/",
        "lots/%EF%BC%A1BCDEFGHJKMN/",
        "lots/ABCDEFGHJKMU/origins/",
        "runs/R-99999999999999999999/",
        "runs/R-%D9%A3/",
        "runs/R-0/",
        "postings/no-uuid/",
        "holds/" + "9" * 5000 + "/lift/",
        "nothing/here/",
        "bins",
        "",
        "%00",
        "%0a",
    ],
    ids=lambda address: address[:20],
)
def test_an_address_that_is_none_is_answered_in_the_same_shape(api_client, address):
    assert_refused(api_client.get(f"/api/{address}"), 404)


def test_an_endless_number_in_an_address_is_not_found(lead):
    assert_refused(send(client_of(lead), f"holds/{'9' * 30}/lift/", reason="seen"), 404)


@pytest.mark.parametrize("method", ["PUT", "PATCH", "DELETE", "OPTIONS", "TRACE"])
def test_only_reading_and_posting_are_offered(api_client, method):
    assert_refused(api_client.generic(method, "/api/lots/"), 405)


def test_an_order_named_over_and_over_is_one_order(api_client):
    answer = api_client.get("/api/lots/?ordering=" + "opened_at,-opened_at," * 1500)
    assert answer.status_code == 200


def test_many_misspelt_fields_are_not_all_sent_back(api_client):
    answer = send(api_client, "moves/", **{f"field-{number}": 1 for number in range(1000)})
    assert_refused(answer, 400)
    assert len(answer.json()["fields"]) == 20


@pytest.mark.parametrize("query", ["version=%00", "version=%0d%0aa:b", "lang=%00", "format=%00"])
def test_the_schema_puts_nothing_of_a_query_into_its_answer(api_client, query):
    answer = api_client.get(f"/api/schema/?{query}")
    assert answer.status_code in {200, 404}
    assert answer.get("Content-Disposition", "").isprintable()


def test_refuses_other_than_json(api_client):
    assert_refused(api_client.post("/api/moves/", "<a/>", content_type="text/xml"), 415)


@pytest.mark.parametrize("charset", ["utf-16", "utf-7", "nonsense"])
def test_reads_json_as_utf_8_whatever_the_client_calls_it(api_client, charset):
    kind = f"application/json; charset={charset}"
    answer = api_client.generic("POST", "/api/moves/?a=b", b"{}", content_type=kind)
    assert_refused(answer, 400)
    assert "uuid" in answer.json()["fields"]


def test_answers_nothing_but_json(api_client):
    assert_refused(api_client.get("/api/bins/", headers={"accept": "text/html"}), 406)


def test_refuses_another_format_by_name(api_client):
    assert_refused(api_client.get("/api/bins/?format=xml"), 404)


def test_refuses_a_body_of_more_than_a_megabyte(api_client):
    body = json.dumps({"uuid": "x" * 1024 * 1024})
    assert_refused(api_client.post("/api/moves/", body, content_type="application/json"), 413)


def test_a_session_without_its_check_is_turned_away(operator):
    client = APIClient(enforce_csrf_checks=True)
    client.login(username=operator.username, password=PASSWORD)
    assert_refused(client.post("/api/moves/", {}, format="json"), 403)


def test_a_broken_form_is_no_fault_of_the_server(operator):
    client = APIClient(enforce_csrf_checks=True)
    client.force_login(operator)
    answer = client.generic("POST", "/api/moves/", b"x", content_type="multipart/form-data")
    assert_refused(answer, 400, 403)


def test_a_wrong_token_is_turned_away(api_client):
    answer = APIClient().get("/api/bins/", headers={"authorization": "Token \x00nope"})
    assert_refused(answer, 400, 401)


@pytest.mark.parametrize("address", ["/api/bins/", "/login/"])
def test_a_broken_session_cookie_is_no_cookie(address):
    answer = APIClient().get(address, headers={"cookie": r'sessionid="\000aaaaaaaaaaaaaaa"'})
    assert answer.status_code == APIClient().get(address).status_code < 500


def test_a_half_character_is_never_sent_back(api_client):
    answer = send(api_client, "deliveries/", **receipt_body(form="\ud800"))
    assert_refused(answer, 400)


def test_a_misspelt_field_is_named(api_client):
    answer = send(api_client, "moves/", mas_mg=5)
    assert list(answer.json()["fields"]) == ["mas_mg"]


def test_a_refusal_of_an_action_keeps_its_code(api_client, operator):
    _bin, lot = make_full_bin(operator)
    answer = send(api_client, "moves/", lot=lot.code, to_bin=BinFactory().name, mass_mg=11 * KG)
    assert (answer.status_code, answer.json()["code"]) == (422, "short")
    assert Posting.objects.count() == 1


def test_a_clash_in_the_database_is_a_conflict():
    answer = answer_refusal(IntegrityError("lot_one_open_per_bin"), {})
    assert (answer.status_code, answer.data["code"]) == (409, "conflict")


def test_a_fault_is_logged_and_answered_in_the_same_shape(rf, caplog):
    answer = answer_fault(KeyError("unforeseen"), {"request": rf.get("/api/bins/"), "view": None})
    assert (answer.status_code, sorted(answer.data)) == (500, ["code", "detail", "fields"])
    assert "/api/bins/" in caplog.text


def test_the_same_uuid_with_other_content_is_a_conflict(api_client, operator):
    _bin, lot = make_full_bin(operator)
    key, bin = str(uuid4()), BinFactory()
    send(api_client, "moves/", uuid=key, lot=lot.code, to_bin=bin.name, mass_mg=KG)
    answer = send(api_client, "moves/", uuid=key, lot=lot.code, to_bin=bin.name, mass_mg=2 * KG)
    assert (answer.status_code, answer.json()["code"]) == (409, "key-reused")
    assert Posting.objects.count() == 2
