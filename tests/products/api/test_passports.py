"""Passports over the API."""

import pytest

from tests.factories.api import client_of, repeated, send
from tests.factories.inventory import KG, make_full_bin
from tests.factories.passports import make_mixed_part
from tests.factories.workshop import load, make_run, weigh_out
from tests.kept import kept

pytestmark = pytest.mark.django_db


@pytest.fixture
@kept
def part(operator):
    return make_mixed_part(operator)


@pytest.fixture
def unissued(operator):
    run = make_run(operator)
    load(run, make_full_bin(operator)[1], operator, 4 * KG)
    weigh_out(run, operator, "part", 4 * KG, pieces=1)
    return run.design.parts.get()


def test_the_newest_passport_is_read(part, api_client):
    answer = api_client.get(f"/api/parts/{part.code}/passport/").json()
    passport = part.passports.get()
    assert (answer["version"], answer["digest"]) == (1, passport.digest)
    assert answer["content"] == passport.content


def test_an_older_version_is_read(part, api_client):
    send(api_client, f"parts/{part.code}/passport/", reason="care was wrong")
    answer = api_client.get(f"/api/parts/{part.code}/passport/", {"version": 1}).json()
    assert answer["version"] == 1


@pytest.mark.parametrize("version", [2, 32_767])
def test_a_version_that_there_is_not_is_not_found(version, part, api_client):
    answer = api_client.get(f"/api/parts/{part.code}/passport/", {"version": version})
    assert answer.status_code == 404


@pytest.mark.parametrize("query", [{"version": "x"}, {"version": 0}, {"version": 2**60}, {"v": 1}])
def test_a_query_that_means_nothing_is_refused(query, part, api_client):
    assert api_client.get(f"/api/parts/{part.code}/passport/", query).status_code == 400


def test_a_part_without_a_passport_has_none_to_read(unissued, api_client):
    assert api_client.get(f"/api/parts/{unissued.code}/passport/").status_code == 404


def test_a_first_passport_is_issued(unissued, api_client):
    answer = send(api_client, f"parts/{unissued.code}/passport/")
    assert answer.status_code == 201
    assert answer.json()["version"] == 1
    assert answer.json()["change"]["subject"] == unissued.code


def test_a_repeat_is_answered_as_the_first_time(part, api_client):
    first, again = repeated(api_client, f"parts/{part.code}/passport/", reason="again")
    assert first.json() == again.json()
    assert part.passports.count() == 2


def test_a_new_version_needs_a_reason(part, api_client):
    answer = send(api_client, f"parts/{part.code}/passport/")
    assert answer.json()["code"] == "reason"
    assert part.passports.count() == 1


def test_an_auditor_reads_and_does_not_issue(part, auditor):
    client = client_of(auditor)
    assert client.get(f"/api/parts/{part.code}/passport/").status_code == 200
    assert send(client, f"parts/{part.code}/passport/", reason="x").status_code == 403


def test_a_stranger_reads_no_passport_here(part, client):
    assert client.get(f"/api/parts/{part.code}/passport/").status_code == 401
