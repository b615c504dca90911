"""Who sends a token is let in as its person, with the role of their groups."""

import pytest
from rest_framework.authtoken.models import Token
from rest_framework.test import APIClient

from tests.factories.api import send
from tests.factories.inventory import BinFactory, make_full_bin
from tests.factories.people import make_person

pytestmark = pytest.mark.django_db


def client_with_token_of(person) -> APIClient:
    client = APIClient()
    client.credentials(HTTP_AUTHORIZATION=f"Token {Token.objects.create(user=person).key}")
    return client


@pytest.mark.parametrize(("role", "status"), [("operator", 201), ("lead", 201), ("auditor", 403)])
def test_a_token_may_what_its_person_may(operator, role, status):
    _bin, lot = make_full_bin(operator)
    client = client_with_token_of(make_person(role, "somebody"))
    answer = send(client, "moves/", lot=lot.code, to_bin=BinFactory().code, mass_mg=1000)
    assert answer.status_code == status


def test_a_person_without_a_role_is_let_in_nowhere(django_user_model):
    client = client_with_token_of(django_user_model.objects.create_user("nobody"))
    assert client.get("/api/bins/").status_code == 403


def test_a_role_taken_away_is_gone_at_once(operator):
    client = client_with_token_of(operator)
    operator.groups.clear()
    assert client.get("/api/bins/").status_code == 403


def test_a_login_switched_off_is_let_in_no_more(operator):
    client = client_with_token_of(operator)
    operator.is_active = False
    operator.save()
    assert client.get("/api/bins/").status_code == 401


def test_an_unknown_token_is_refused():
    client = APIClient()
    client.credentials(HTTP_AUTHORIZATION="Token 0123")
    assert client.get("/api/bins/").status_code == 401


def test_a_move_asks_the_database_little(operator, django_assert_max_num_queries):
    """Who it is, two codes and their labels, then nine statements of the act; none for the answer."""
    _bin, lot = make_full_bin(operator)
    bin, client = BinFactory(), client_with_token_of(operator)
    with django_assert_max_num_queries(17):  # with a savepoint of the test and its release
        send(client, "moves/", lot=lot.code, to_bin=bin.code, mass_mg=1000)
