"""PINs through the API: set, taken away, freed; never answered."""

import pytest
from django.contrib.auth.hashers import check_password

from inventory.models import Change
from tests.factories.api import client_of, repeated, send
from tests.factories.people import PIN, give_pin, make_bench
from workshop.models import Badge, Guesses

pytestmark = pytest.mark.django_db


def test_lists_people_with_role_and_whether_they_have_a_pin(lead, operator):
    give_pin(operator)
    make_bench()
    rows = client_of(lead).get("/api/people/").json()["results"]
    assert [(row["username"], row["role"], row["has_pin"]) for row in rows] == [
        ("lead-one", "lead", False),
        ("operator-one", "operator", True),
    ]


def test_the_lead_gives_a_pin_that_is_not_answered(lead, operator):
    answer = send(client_of(lead), f"people/{operator.pk}/pin/", pin=PIN)
    assert (answer.status_code, answer.json()["person"]) == (201, "operator-one")
    assert check_password(PIN, Badge.objects.get(user=operator).pin)


def test_one_sets_an_own_pin(operator):
    send(client_of(operator), "people/me/pin/", pin=PIN)
    assert Badge.objects.get().user == operator


def test_a_weak_pin_is_refused(operator):
    answer = send(client_of(operator), "people/me/pin/", pin="1234")
    assert (answer.status_code, answer.json()["code"]) == (422, "in-a-row")
    assert not Badge.objects.exists()


@pytest.mark.parametrize("pin", [1234, None, "", "12", "1234567", "\x00" * 4, ["2938"]])
def test_what_is_no_pin_is_refused(operator, pin):
    answer = send(client_of(operator), "people/me/pin/", pin=pin)
    assert answer.status_code in {400, 422}
    assert not Badge.objects.exists()


def test_a_repeat_is_answered_as_the_first_time(lead, operator):
    first, again = repeated(client_of(lead), f"people/{operator.pk}/pin/", pin=PIN)
    assert (first.status_code, first.json()) == (again.status_code, again.json())
    assert Change.objects.filter(verb="set-pin").count() == 1


def test_the_lead_takes_a_pin_away(lead, operator):
    give_pin(operator)
    send(client_of(lead), f"people/{operator.pk}/pin/clear/", reason="left")
    assert not Badge.objects.exists()


def test_the_lead_frees_a_bench(lead):
    bench = make_bench()
    Guesses.objects.create(user=bench, count=15)
    send(client_of(lead), f"people/{bench.pk}/pin/lift/", reason="children played")
    assert Guesses.objects.get().count == 0


def test_nobody_is_found_by_the_key_of_a_bench(lead):
    answer = send(client_of(lead), f"people/{make_bench().pk}/pin/", pin=PIN)
    assert (answer.status_code, answer.json()["code"]) == (404, "not-found")
