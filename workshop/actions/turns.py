"""Turns at a bench: a PIN begins one, idleness or a tap ends it, wrong guesses lock it out.

A guess is counted before it is looked at, so that guesses sent at once get no more tries than
guesses sent one by one, and no lock is held while the hash is computed.
"""

from datetime import datetime, timedelta
from uuid import uuid4

from django.contrib.auth.hashers import check_password, make_password
from django.contrib.auth.models import User
from django.core.exceptions import ValidationError
from django.db import transaction
from django.db.models import F, QuerySet
from django.db.models.functions import Greatest
from django.utils import timezone
from django.utils.translation import gettext_lazy as _
from django.utils.translation import ngettext_lazy

from inventory.actions.acts import Act
from inventory.actions.changes import record_change
from inventory.actions.refusals import refusal
from workshop.models import Badge, Guesses, Turn

TRIES = 5
FIRST_WAIT = timedelta(minutes=5)  # doubles with every further lock-out
MOST_WRONG = 4 * TRIES  # in a row; then only a new PIN or the lead helps
BENCH_TRIES = 15
BENCH_WAIT = timedelta(minutes=5)
BENCH_MEMORY = timedelta(minutes=15)
SEEN_EVERY = timedelta(seconds=20)  # a row is not written at every tap

SHUT_OUT = _(
    "There were %(count)s wrong PINs in a row. Log in with your password and set a new PIN, "
    "or ask the lead."
)
LOCKED_OUT = ngettext_lazy(
    "Too many wrong PINs; wait %(minutes)s minute, or ask the lead to help.",
    "Too many wrong PINs; wait %(minutes)s minutes, or ask the lead to help.",
    "minutes",
)
BENCH_LOCKED = ngettext_lazy(
    "Too many wrong PINs at this bench; wait %(minutes)s minute, or log in with your password.",
    "Too many wrong PINs at this bench; wait %(minutes)s minutes, or log in with your password.",
    "minutes",
)
WRONG_PIN = ngettext_lazy(
    "This PIN does not fit; type it again. %(left)s try is left.",
    "This PIN does not fit; type it again. %(left)s tries are left.",
    "left",
)


def begin_turn(*, bench: User, person: User, pin: str, before: Turn | None = None) -> Turn:
    """Begin a person's turn at a bench with the PIN; the turn before at this tablet ends.

    Refuses `wrong-pin`, `locked-out` for a while after 5 wrong ones in a row, `shut-out` after
    20 until the PIN is set anew or the lead lifts it, `bench-locked` after 15 at one bench. A
    lock-out is written down. Not for a caller's transaction: a wrong guess must stay counted.
    """
    now = timezone.now()
    wrong, at_bench = count_guess(bench, person, now)
    badge = Badge.objects.select_related("user").filter(user=person, user__is_active=True).first()
    # Without a badge the same work is done, so that time tells nothing.
    fits = check_password(pin, badge.pin if badge else make_password(None))
    turn = write_turn(bench, badge, before) if badge and fits else None
    if turn is None:
        write_lock_outs(bench, person, wrong, at_bench)
        raise wrong_pin(person, wrong)
    return turn


@transaction.atomic
def count_guess(bench: User, person: User, now: datetime) -> tuple[int, int]:
    """Count a guess before it is looked at; return how many that makes in a row, there and here.

    The last one that is allowed locks the next ones out at once.
    """
    mine, here = lock_guesses(person, bench)
    if locked := lock_out_of(mine, now):
        raise locked
    guard_bench(here, now)
    mine.count, mine.last_at = mine.count + 1, now
    if mine.count % TRIES == 0:
        mine.locked_until = now + FIRST_WAIT * 2 ** (mine.count // TRIES - 1)
    is_stale = here.last_at is None or here.last_at < now - BENCH_MEMORY
    here.count, here.last_at = (0 if is_stale else here.count) + 1, now
    if here.count >= BENCH_TRIES:
        here.locked_until = now + BENCH_WAIT
    mine.save()
    here.save()
    return mine.count, here.count


def lock_guesses(*logins: User) -> list[Guesses]:
    """Return the counts of the logins, locked in primary-key order."""
    for login in logins:
        Guesses.objects.get_or_create(user=login)
    rows = Guesses.objects.select_for_update().filter(user__in=logins).order_by("pk")
    found = {row.user_id: row for row in rows}
    return [found[login.pk] for login in logins]


def lock_out_of(mine: Guesses, now: datetime) -> ValidationError | None:
    """Return the refusal for a person whose PIN was guessed wrong too often, if it was."""
    if mine.count >= MOST_WRONG:
        return refusal("shut-out", SHUT_OUT, count=mine.count)
    if mine.locked_until and mine.locked_until > now:
        return refusal("locked-out", LOCKED_OUT, minutes=minutes_left(mine.locked_until, now))
    return None


def guard_bench(here: Guesses, now: datetime) -> None:
    """Refuse a bench where wrong PINs were typed too often; after the wait it counts anew."""
    if here.locked_until is None:
        return
    if here.locked_until > now:
        raise refusal("bench-locked", BENCH_LOCKED, minutes=minutes_left(here.locked_until, now))
    here.count, here.locked_until = 0, None


def minutes_left(until: datetime, now: datetime) -> int:
    """Return the minutes until then, begun ones counted."""
    return -(-(until - now) // timedelta(minutes=1))


def wrong_pin(person: User, wrong: int) -> ValidationError:
    """Return the refusal of a wrong guess; the last one says what happens next."""
    if left := -wrong % TRIES:
        return refusal("wrong-pin", WRONG_PIN, left=left)
    locked = lock_out_of(Guesses.objects.get(user=person), timezone.now())
    return locked or refusal("wrong-pin", WRONG_PIN, left=TRIES)


@transaction.atomic
def write_lock_outs(bench: User, person: User, wrong: int, at_bench: int) -> None:
    """Write down that this wrong guess locked out the person or the bench."""
    if wrong % TRIES == 0:
        write_lock_out(bench, person, wrong)
    if at_bench == BENCH_TRIES:
        write_lock_out(bench, bench, at_bench)


def write_lock_out(bench: User, login: User, wrong: int) -> None:
    """Write one lock-out into the book; the bench says where it happened."""
    act = Act(key=uuid4(), by=bench)
    name = login.get_username()
    request = act.request("lock-out", person=name, wrong=wrong)
    record_change(act=act, subject=name, request=request, row=login)


@transaction.atomic
def write_turn(bench: User, badge: Badge, before: Turn | None) -> Turn | None:
    """Begin the turn, or return None when the PIN was changed since it was looked at.

    The person's wrong guesses are forgotten, of those at the bench only this right one.
    """
    unchanged = Badge.objects.select_for_update().filter(pk=badge.pk, pin=badge.pin)
    if not unchanged.exists():
        return None
    mine, here = lock_guesses(badge.user, bench)
    mine.count, mine.locked_until = 0, None
    here.count = max(0, here.count - 1)
    if here.count < BENCH_TRIES:
        here.locked_until = None
    mine.save()
    here.save()
    if before:
        end_turn(turn=before)
    now = timezone.now()
    return Turn.objects.create(bench=bench, person=badge.user, began_at=now, last_seen_at=now)


def keep_turn(*, turn: Turn) -> None:
    """Remember that the person of a turn did something just now."""
    now = timezone.now()
    if now - turn.last_seen_at >= SEEN_EVERY:
        Turn.objects.filter(pk=turn.pk, ended_at__isnull=True).update(last_seen_at=now)


def end_turn(*, turn: Turn) -> None:
    """End a turn, if it has not ended already; a repeat changes nothing."""
    end_turns(Turn.objects.filter(pk=turn.pk))


def end_turns(turns: QuerySet[Turn]) -> None:
    """End those of the turns that are open, never before they began: clocks are set back."""
    turns.filter(ended_at__isnull=True).update(ended_at=Greatest(F("began_at"), timezone.now()))
