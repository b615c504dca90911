"""The lead gives, takes and frees PINs; whoever logs in with a password sets an own one."""

from uuid import uuid4

import pytest
from django.contrib.auth.hashers import check_password

from tests.factories.people import PIN, WRONG, give_pin, make_bench, signed_in
from workshop.actions.turns import TRIES
from workshop.models import Badge, Guesses

pytestmark = pytest.mark.django_db


def new_pin(browser, path, pin=PIN, again=None):
    return browser.post(path, {"key": str(uuid4()), "pin": pin, "again": again or pin})


def text(answer) -> str:
    return answer.content.decode()


def test_one_sets_an_own_pin(floor, operator):
    assert new_pin(floor, "/people/pin/").headers["Location"] == "/"
    assert check_password(PIN, Badge.objects.get(user=operator).pin)


def test_the_lead_gives_a_pin(desk, operator):
    new_pin(desk, f"/people/{operator.pk}/pin/")
    assert check_password(PIN, Badge.objects.get(user=operator).pin)


def test_two_different_pins_are_refused(floor):
    answer = new_pin(floor, "/people/pin/", PIN, WRONG)
    assert answer.status_code == 422
    assert "type both again" in text(answer)
    assert not Badge.objects.exists()


def test_a_weak_pin_is_refused_and_not_shown(floor):
    answer = new_pin(floor, "/people/pin/", "1234")
    assert answer.status_code == 422
    assert "count up or down" in text(answer)
    assert 'value="1234"' not in text(answer)


def test_a_pin_is_never_kept_on_the_tablet(floor):
    """The tablet's queue keeps forms marked data-once; this one may not be among them."""
    page = text(floor.get("/people/pin/"))
    form = page[page.index('id="pin-form"') :]
    assert "data-once" not in form[: form.index(">")]


def test_an_operator_sets_nobody_elses_pin(floor, lead):
    assert new_pin(floor, f"/people/{lead.pk}/pin/").status_code == 403
    assert not Badge.objects.exists()


def test_a_bench_gets_no_pin(desk):
    assert new_pin(desk, f"/people/{make_bench().pk}/pin/").status_code == 404


def test_the_list_shows_roles_pins_and_wrong_guesses_and_benches(desk, operator):
    give_pin(operator)
    Guesses.objects.create(user=make_bench("bench by the press"), count=7)
    people = desk.get("/people/").context["people"]
    assert [(p.name, p.role, p.has_pin, p.wrong) for p in people] == [
        ("lead-one", "lead", False, 0),
        ("operator-one", "operator", True, 0),
        ("bench by the press", "", False, 7),
    ]


def test_the_list_asks_the_same_however_many(desk, django_assert_max_num_queries):
    for number in range(5):
        make_bench(f"bench {number}")
    with django_assert_max_num_queries(9):
        desk.get("/people/")


def test_the_lead_takes_a_pin_away(desk, operator):
    give_pin(operator)
    desk.post(f"/people/{operator.pk}/pin/clear/", {"key": str(uuid4()), "reason": "left"})
    assert not Badge.objects.exists()


def test_the_lead_frees_who_is_locked_out(desk, operator):
    give_pin(operator)
    tablet = signed_in(make_bench())
    for _ in range(TRIES):
        tablet.post(f"/bench/{operator.pk}/", {"pin": WRONG})
    assert "Forget wrong ones" in text(desk.get("/people/"))
    desk.post(f"/people/{operator.pk}/pin/lift/", {"key": str(uuid4()), "reason": "slips"})
    assert tablet.post(f"/bench/{operator.pk}/", {"pin": PIN}).status_code == 302
