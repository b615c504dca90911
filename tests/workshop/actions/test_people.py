"""People of the workshop get a login, one role and a PIN."""

import pytest
from django.contrib.auth.hashers import check_password
from django.contrib.auth.models import Group, User
from django.core.exceptions import ValidationError
from django.utils import timezone

from inventory.models import Change
from inventory.queries.access import is_bench, role_of
from tests.factories.book import refused, stored
from tests.factories.inventory import make_act
from tests.factories.people import PASSWORD, PIN, WRONG, give_pin, make_bench
from workshop.actions.people import add_bench, add_person, clear_pin, lift_lock_out, set_pin
from workshop.actions.turns import begin_turn
from workshop.models import Badge, Guesses

pytestmark = pytest.mark.django_db


def test_adds_a_person_with_one_role():
    person = add_person(username="mina", role="lead", password=PASSWORD)
    assert (role_of(person), person.check_password(PASSWORD)) == ("lead", True)


def test_refuses_a_login_that_is_taken_whatever_its_capitals():
    add_person(username="mina", role="lead", password=PASSWORD)
    with refused("name-taken"):
        add_person(username="MINA", role="operator", password=PASSWORD)


def test_refuses_a_role_that_does_not_exist():
    with refused("role"):
        add_person(username="mina", role="owner", password=PASSWORD)


def test_refuses_a_weak_password():
    with pytest.raises(ValidationError, match="too short"):
        add_person(username="mina", role="lead", password="xk9")
    assert not User.objects.filter(username="mina").exists()


def test_a_bench_is_a_login_without_a_role():
    bench = add_bench(username="bench by the press", password=PASSWORD)
    assert (is_bench(bench), role_of(bench)) == (True, "")


def test_a_bench_has_no_role_whatever_else_it_is_given():
    bench = make_bench()
    bench.groups.add(Group.objects.get(name="lead"))
    bench.is_superuser = True
    assert role_of(bench) == ""


def test_a_pin_is_kept_only_as_a_hash(operator):
    badge = give_pin(operator).badge
    assert PIN not in badge.pin
    assert check_password(PIN, badge.pin)


def test_a_pin_stands_in_no_change(operator):
    give_pin(operator)
    change = Change.objects.get(verb="set-pin")
    assert PIN not in str(stored("inventory_change"))
    assert (change.subject, change.by) == ("operator-one", operator)


@pytest.mark.parametrize(
    ("pin", "code"), [("0000", "same-digits"), ("1234", "in-a-row"), ("12", "not-a-pin")]
)
def test_refuses_a_weak_pin(operator, pin, code):
    with refused(code):
        give_pin(operator, pin)


def test_refuses_the_pin_as_it_was(operator):
    give_pin(operator)
    with refused("same-pin"):
        give_pin(operator)


def test_refuses_a_pin_for_a_bench(lead):
    with refused("not-a-person"):
        set_pin(person=make_bench(), pin=PIN, act=make_act(lead))


def test_setting_a_pin_twice_with_one_id_sets_it_once(operator):
    act = make_act(operator)
    first = set_pin(person=operator, pin=PIN, act=act)
    again = set_pin(person=operator, pin=PIN, act=act)
    assert (again.pin, Change.objects.filter(verb="set-pin").count()) == (first.pin, 1)


def test_an_id_sets_no_second_pin(operator):
    act = make_act(operator)
    set_pin(person=operator, pin=PIN, act=act)
    with refused("key-reused"):
        set_pin(person=operator, pin=WRONG, act=act)


def test_a_new_pin_ends_open_turns_and_forgets_wrong_guesses(operator, lead):
    bench = make_bench()
    give_pin(operator)
    turn = begin_turn(bench=bench, person=operator, pin=PIN)
    Guesses.objects.filter(user=operator).update(count=3)
    set_pin(person=operator, pin=WRONG, act=make_act(lead))
    turn.refresh_from_db()
    assert turn.ended_at
    assert Guesses.objects.get(user=operator).count == 0


def test_the_lead_takes_a_pin_away(operator, lead):
    give_pin(operator)
    clear_pin(person=operator, act=make_act(lead, "left the workshop"))
    assert not Badge.objects.exists()
    assert Change.objects.get(verb="clear-pin").reason == "left the workshop"


def test_taking_a_pin_away_needs_a_reason_and_a_pin(operator, lead):
    with refused("no-pin"):
        clear_pin(person=operator, act=make_act(lead, "left"))
    give_pin(operator)
    with refused("reason"):
        clear_pin(person=operator, act=make_act(lead))


def test_taking_a_pin_away_twice_is_done_once(operator, lead):
    give_pin(operator)
    act = make_act(lead, "left")
    clear_pin(person=operator, act=act)
    clear_pin(person=operator, act=act)
    assert Change.objects.filter(verb="clear-pin").count() == 1


def test_the_lead_lifts_a_lock_out(operator, lead):
    Guesses.objects.create(user=operator, count=20, locked_until=timezone.now())
    lift_lock_out(login=operator, act=make_act(lead, "a child played"))
    guesses = Guesses.objects.get()
    assert (guesses.count, guesses.locked_until) == (0, None)
    assert Change.objects.get(verb="lift-lock-out").subject == "operator-one"


def test_lifting_a_lock_out_needs_a_reason(operator, lead):
    with refused("reason"):
        lift_lock_out(login=operator, act=make_act(lead))
