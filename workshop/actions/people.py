"""People of the workshop: a login, one role, a PIN for the bench; and benches, which are no people."""

from django.contrib.auth.hashers import check_password, make_password
from django.contrib.auth.models import Group, User
from django.contrib.auth.password_validation import validate_password
from django.db import transaction
from django.utils.translation import gettext_lazy as _

from inventory.actions.acts import Act, earlier, need_reason
from inventory.actions.changes import record_change
from inventory.actions.locks import fresh
from inventory.actions.refusals import refusal
from inventory.queries.access import BENCH, ROLES, is_bench
from workshop.actions.turns import end_turns
from workshop.calculations.pins import weakness
from workshop.models import Badge, Guesses, Turn

WEAK = {
    "not-a-pin": _("A PIN has 4 to 6 digits and nothing else."),
    "same-digits": _("All digits are the same; choose a PIN that is harder to guess."),
    "in-a-row": _("The digits count up or down; choose a PIN that is harder to guess."),
    "repeated": _("The digits repeat themselves; choose a PIN that is harder to guess."),
    "keypad-line": _("The keys lie in a line; choose a PIN that is harder to guess."),
    "year": _("This looks like a year; choose a PIN that is harder to guess."),
    "in-the-name": _("This stands in the login name; choose a PIN that is harder to guess."),
}


@transaction.atomic
def add_person(*, username: str, role: str, password: str) -> User:
    """Add a person with one role.

    Refuses `name-taken`, `role` for a role that does not exist, and a password
    that is too weak.
    """
    if role not in ROLES:
        raise refusal("role", _("Choose one of the roles: operator, lead, auditor."))
    return add_login(username, role, password)


@transaction.atomic
def add_bench(*, username: str, password: str) -> User:
    """Add the login of a shared tablet, which is a place and no person.

    Refuses `name-taken` and a password that is too weak.
    """
    return add_login(username, BENCH, password)


def add_login(username: str, group: str, password: str) -> User:
    """Write a login that belongs to one group."""
    if User.objects.filter(username__iexact=username).exists():
        raise refusal("name-taken", _("This login name is taken; choose another one."))
    login = User(username=username)
    validate_password(password, login)
    login = User.objects.create_user(username, password=password)
    login.groups.add(Group.objects.get_or_create(name=group)[0])
    return login


@transaction.atomic
def set_pin(*, person: User, pin: str, act: Act) -> Badge:
    """Give a person a PIN for the bench, instead of the one before; only its hash is kept.

    Wrong guesses are forgotten and the person's open turns end. Refuses `not-a-person` for a
    bench, the codes of `weakness`, and `same-pin`. A repeated UUID changes nothing; with another
    PIN it is refused as `key-reused`.
    """
    request = act.request("set-pin", person=person.get_username())
    done, badge = earlier(act, request), Badge.objects.filter(user=person).first()
    is_same = badge is not None and check_password(pin, badge.pin)
    if done and is_same:
        return badge
    if done:
        raise refusal("key-reused", _("This page was sent already; open it anew for another PIN."))
    guard_pin(person, pin)
    if is_same:
        raise refusal("same-pin", _("This is the PIN as it was; choose another one."))
    written = {"pin": make_password(pin), "set_at": act.at}
    badge, _made = Badge.objects.update_or_create(user=person, defaults=written)
    start_afresh(person)
    record_change(act=act, subject=person.get_username(), request=request, row=person)
    return badge


def guard_pin(person: User, pin: str) -> None:
    """Refuse a PIN that others guess first, and one for a bench."""
    if is_bench(person):
        raise refusal("not-a-person", _("A bench has no PIN; choose a person."))
    if why := weakness(pin, person.get_username()):
        raise refusal(why, WEAK[why])


@transaction.atomic
def clear_pin(*, person: User, act: Act) -> User:
    """Take the PIN away from a person, who then works at no bench; the open turns end.

    Refuses `reason` when none is given and `no-pin` when there is none. A repeated UUID
    changes nothing.
    """
    request = act.request("clear-pin", person=person.get_username())
    if earlier(act, request):
        return person
    need_reason(act)
    badge = Badge.objects.filter(user=person).first()
    if badge is None:
        raise refusal("no-pin", _("This person has no PIN; there is nothing to take away."))
    fresh(badge).delete()
    start_afresh(person)
    record_change(act=act, subject=person.get_username(), request=request, row=person)
    return person


@transaction.atomic
def lift_lock_out(*, login: User, act: Act) -> User:
    """Forget the wrong guesses of a person, or those at a bench; the PIN stays.

    Refuses `reason` when none is given. A repeated UUID changes nothing.
    """
    request = act.request("lift-lock-out", person=login.get_username())
    if earlier(act, request):
        return login
    need_reason(act)
    forget_guesses(login)
    record_change(act=act, subject=login.get_username(), request=request, row=login)
    return login


def start_afresh(person: User) -> None:
    """Forget a person's wrong guesses and end the open turns."""
    forget_guesses(person)
    end_turns(Turn.objects.filter(person=person))


def forget_guesses(login: User) -> None:
    """Forget the wrong guesses of a login."""
    Guesses.objects.filter(user=login).update(count=0, last_at=None, locked_until=None)
