"""A token in exchange for a name and a password, and not too many tries."""

import pytest
from axes.models import AccessAttempt
from django.core.cache import cache
from rest_framework.authtoken.models import Token
from rest_framework.test import APIClient

from tests.factories.people import PASSWORD


@pytest.fixture(autouse=True)
def no_earlier_tries(db, settings):
    settings.AXES_ENABLED = True
    cache.clear()
    yield
    cache.clear()


def ask(username: str, password: str):
    body = {"username": username, "password": password}
    return APIClient().post("/api/token/", body, format="json")


def test_a_token_lets_its_person_in(operator):
    token = ask(operator.username, PASSWORD).json()["token"]
    answer = APIClient().get("/api/bins/", headers={"authorization": f"Token {token}"})
    assert answer.status_code == 200


def test_a_wrong_password_gives_no_token(operator):
    answer = ask(operator.username, "wrong")
    assert (answer.status_code, answer.json()["code"]) == (401, "authentication-failed")
    assert not Token.objects.exists()


def test_a_wrong_password_counts_as_a_failed_login(operator):
    ask(operator.username, "wrong")
    assert AccessAttempt.objects.get(username=operator.username).failures_since_start == 1


def test_too_many_wrong_passwords_lock_the_person_out_in_the_one_shape(operator):
    answers = [ask(operator.username, "wrong") for _ in range(6)]
    answer = ask(operator.username, PASSWORD)
    assert {each.status_code for each in answers[:5]} == {401}
    assert (answer.status_code, sorted(answer.json())) == (429, ["code", "detail", "fields"])
    assert not Token.objects.exists()


def test_one_address_may_not_try_name_after_name():
    answers = [ask(f"name-{number}", "wrong") for number in range(31)]
    assert [each.status_code for each in answers[-2:]] == [401, 429]
    assert answers[-1].json()["code"] == "throttled"


def test_somebody_who_left_gets_no_token(operator):
    operator.is_active = False
    operator.save()
    assert ask(operator.username, PASSWORD).status_code == 401


@pytest.mark.parametrize("name", ["\x00", "", 7, None, "x" * 151])
def test_refuses_a_name_that_is_none(name):
    answer = APIClient().post("/api/token/", {"username": name, "password": "x"}, format="json")
    assert (answer.status_code, list(answer.json()["fields"])) == (400, ["username"])
