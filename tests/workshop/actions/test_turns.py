"""A PIN begins a turn at a bench; wrong ones lock out, and that is written down."""

from datetime import timedelta

import pytest
from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction
from django.utils import timezone

from inventory.models import Change
from tests.factories.book import sentence
from tests.factories.inventory import make_act
from tests.factories.people import PIN, WRONG, give_pin, make_bench, make_person
from workshop.actions.people import clear_pin
from workshop.actions.turns import BENCH_TRIES, TRIES, begin_turn, end_turn, keep_turn, write_turn
from workshop.models import Badge, Guesses, Turn

pytestmark = pytest.mark.django_db


@pytest.fixture
def bench():
    return make_bench()


@pytest.fixture
def mina():
    return give_pin(make_person("operator", "mina"))


def guess(bench, person, pin=WRONG) -> str:
    """Return the code of the refusal, and begin no turn."""
    turns = Turn.objects.count()
    with pytest.raises(ValidationError) as refusal:
        begin_turn(bench=bench, person=person, pin=pin)
    assert Turn.objects.count() == turns
    return refusal.value.code


def wait(*logins, minutes):
    """Let time pass for the lock-outs of some logins."""
    for guesses in Guesses.objects.filter(user__in=logins):
        back = timedelta(minutes=minutes)
        guesses.last_at -= back
        guesses.locked_until = guesses.locked_until and guesses.locked_until - back
        guesses.save()


def test_the_right_pin_begins_a_turn(bench, mina):
    turn = begin_turn(bench=bench, person=mina, pin=PIN)
    assert (turn.bench, turn.person, turn.ended_at) == (bench, mina, None)


def test_a_turn_ends_the_one_before(bench, mina, operator):
    first = begin_turn(bench=bench, person=mina, pin=PIN)
    begin_turn(bench=bench, person=give_pin(operator), pin=PIN, before=first)
    first.refresh_from_db()
    assert first.ended_at


@pytest.mark.parametrize("pin", [WRONG, "", PIN + "0", PIN[:3], "x" * 5000])
def test_a_wrong_pin_begins_none(bench, mina, pin):
    assert guess(bench, mina, pin) == "wrong-pin"


def test_nobody_without_a_pin_begins_a_turn(bench, operator):
    assert guess(bench, operator, "") == "wrong-pin"


def test_nobody_who_left_begins_a_turn(bench, mina):
    mina.is_active = False
    mina.save()
    assert guess(bench, mina, PIN) == "wrong-pin"


def test_five_wrong_ones_lock_out_even_the_right_one(bench, mina):
    codes = [guess(bench, mina) for _ in range(TRIES)]
    assert codes == ["wrong-pin"] * 4 + ["locked-out"]
    assert guess(bench, mina, PIN) == "locked-out"


def test_a_refusal_says_how_long_to_wait(bench, mina):
    for _ in range(TRIES):
        guess(bench, mina)
    with pytest.raises(ValidationError) as refusal:
        begin_turn(bench=bench, person=mina, pin=PIN)
    assert "wait 5 minutes" in sentence(refusal)


def test_a_lock_out_holds_at_every_bench(bench, mina):
    for _ in range(TRIES):
        guess(bench, mina)
    assert guess(make_bench("other"), mina, PIN) == "locked-out"


def test_after_the_wait_the_right_pin_fits_again(bench, mina):
    for _ in range(TRIES):
        guess(bench, mina)
    wait(mina, minutes=5)
    assert begin_turn(bench=bench, person=mina, pin=PIN)
    assert Guesses.objects.get(user=mina).count == 0


def test_the_wait_doubles(bench, mina):
    for _ in range(TRIES):
        guess(bench, mina)
    wait(mina, bench, minutes=5)
    for _ in range(TRIES):
        guess(bench, mina)
    left = Guesses.objects.get(user=mina).locked_until - timezone.now()
    assert timedelta(minutes=9) < left <= timedelta(minutes=10)


def test_twenty_in_a_row_shut_out_until_somebody_helps(bench, mina):
    Guesses.objects.create(user=mina, count=19, last_at=timezone.now())
    assert guess(bench, mina) == "shut-out"
    wait(mina, minutes=60 * 24 * 365)
    assert guess(bench, mina, PIN) == "shut-out"


def test_guessing_name_after_name_locks_the_bench(bench):
    people = [give_pin(make_person("operator", f"p{n}")) for n in range(4)]
    codes = [guess(bench, people[n % 4]) for n in range(BENCH_TRIES)]
    assert set(codes) == {"wrong-pin"}
    assert guess(bench, people[0], PIN) == "bench-locked"
    assert begin_turn(bench=make_bench("other"), person=people[0], pin=PIN)


def test_ones_own_right_pin_buys_no_tries_at_the_bench(bench, mina, operator):
    give_pin(operator)
    for _ in range(4):
        guess(bench, operator)
        begin_turn(bench=bench, person=mina, pin=PIN)
    assert Guesses.objects.get(user=bench).count == 4


def test_slips_of_a_day_lock_no_bench(bench, mina):
    Guesses.objects.create(
        user=bench, count=BENCH_TRIES - 1, last_at=timezone.now() - timedelta(hours=1)
    )
    guess(bench, mina)
    assert Guesses.objects.get(user=bench).count == 1


def test_a_bench_opens_after_its_wait(bench, mina):
    now = timezone.now()
    Guesses.objects.create(user=bench, count=BENCH_TRIES, last_at=now, locked_until=now)
    assert begin_turn(bench=bench, person=mina, pin=PIN)


def test_a_lock_out_is_written_down_once(bench, mina):
    for _ in range(TRIES + 3):
        guess(bench, mina)
    change = Change.objects.get(verb="lock-out")
    assert (change.subject, change.by, change.request["wrong"]) == ("mina", bench, TRIES)


def test_a_lock_out_of_a_bench_is_written_down(bench, mina):
    Guesses.objects.create(user=bench, count=BENCH_TRIES - 1, last_at=timezone.now())
    guess(bench, mina)
    assert Change.objects.get(verb="lock-out").subject == "bench"


def test_a_right_pin_as_the_fifth_try_is_no_lock_out(bench, mina):
    for _ in range(TRIES - 1):
        guess(bench, mina)
    assert begin_turn(bench=bench, person=mina, pin=PIN)
    assert not Change.objects.filter(verb="lock-out").exists()
    assert Guesses.objects.get(user=mina).locked_until is None


def test_a_pin_that_was_just_taken_away_begins_nothing(bench, mina, lead):
    looked_at = Badge.objects.get(user=mina)
    clear_pin(person=mina, act=make_act(lead, "left"))
    assert write_turn(bench, looked_at, None) is None


def test_a_sign_of_life_is_written_at_most_every_20_seconds(bench, mina):
    turn = begin_turn(bench=bench, person=mina, pin=PIN)
    began = turn.last_seen_at
    keep_turn(turn=turn)
    turn.refresh_from_db()
    assert turn.last_seen_at == began
    turn.last_seen_at -= timedelta(seconds=30)
    keep_turn(turn=turn)
    turn.refresh_from_db()
    assert turn.last_seen_at > began


def test_an_ended_turn_stays_ended(bench, mina):
    turn = begin_turn(bench=bench, person=mina, pin=PIN)
    end_turn(turn=turn)
    ended = Turn.objects.get().ended_at
    turn.last_seen_at -= timedelta(seconds=30)
    keep_turn(turn=turn)
    end_turn(turn=turn)
    assert Turn.objects.get().ended_at == ended
    assert Turn.objects.get().last_seen_at < ended


def test_a_turn_ends_though_the_clock_was_set_back(bench, mina):
    turn = begin_turn(bench=bench, person=mina, pin=PIN)
    later = timezone.now() + timedelta(hours=1)
    Turn.objects.update(began_at=later)
    end_turn(turn=turn)
    assert Turn.objects.get().ended_at == later


@pytest.mark.parametrize(
    ("name", "change"),
    [
        ("turn_is_a_persons", lambda turn: {"person": turn.bench}),
        ("turn_ends_after_it_began", lambda turn: {"ended_at": turn.began_at - timedelta(1)}),
    ],
)
def test_the_database_refuses_a_turn_that_cannot_be(bench, mina, name, change):
    turn = begin_turn(bench=bench, person=mina, pin=PIN)
    with pytest.raises(IntegrityError, match=name), transaction.atomic():
        Turn.objects.update(**change(turn))


def test_the_database_refuses_a_badge_without_a_pin(mina):
    with pytest.raises(IntegrityError, match="badge_has_a_pin"), transaction.atomic():
        Badge.objects.update(pin="")
