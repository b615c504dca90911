"""Twenty guesses at once get no more tries than five one after another."""

import pytest

from inventory.models import Change
from tests.factories.people import PIN, WRONG, give_pin, make_bench, make_person
from tests.race.test_races import at_once
from workshop.actions.turns import BENCH_TRIES, TRIES, begin_turn
from workshop.models import Guesses, Turn

pytestmark = [pytest.mark.race, pytest.mark.django_db(transaction=True)]

GUESSES = 20


def guess(bench, person, pin=WRONG):
    return lambda: begin_turn(bench=bench, person=person, pin=pin)


def test_twenty_guesses_at_one_person(operator):
    bench = make_bench()
    give_pin(operator)
    codes = at_once(*[guess(bench, operator) for _ in range(GUESSES)])
    assert codes.count("locked-out") == GUESSES - TRIES + 1  # the fifth is looked at and locks
    assert codes.count("wrong-pin") == TRIES - 1
    assert Guesses.objects.get(user=operator).count == TRIES
    assert Change.objects.filter(verb="lock-out").count() == 1


def test_twenty_guesses_from_as_many_benches_at_one_person(operator):
    give_pin(operator)
    benches = [make_bench(f"bench {number}") for number in range(GUESSES)]
    at_once(*[guess(bench, operator) for bench in benches])
    assert Guesses.objects.get(user=operator).count == TRIES


def test_twenty_guesses_at_as_many_people(db):
    bench = make_bench()
    people = [give_pin(make_person("operator", f"p{number}")) for number in range(GUESSES)]
    codes = at_once(*[guess(bench, person) for person in people])
    assert codes.count("wrong-pin") == BENCH_TRIES
    assert codes.count("bench-locked") == GUESSES - BENCH_TRIES


def test_the_right_pin_sent_twenty_times_at_once(operator):
    """As many turns as were looked at; nobody is left locked out by the right PIN."""
    bench = make_bench()
    give_pin(operator)
    answers = at_once(*[guess(bench, operator, PIN) for _ in range(GUESSES)])
    assert Turn.objects.count() == len([each for each in answers if isinstance(each, Turn)]) >= 1
    assert Guesses.objects.get(user=operator).locked_until is None
