"""People of the workshop and a shared tablet, all invented."""

from django.conf import settings
from django.contrib.auth import BACKEND_SESSION_KEY, HASH_SESSION_KEY, SESSION_KEY
from django.contrib.auth.models import Group, User
from django.test import Client
from django.utils.crypto import get_random_string

from inventory.queries.access import BENCH
from tests.factories.inventory import make_act
from workshop.actions.people import set_pin
from workshop.sessions import SessionStore

PASSWORD = "a-long-test-password"
PIN = "2938"
WRONG = "4071"


def make_person(role: str, name: str = "") -> User:
    """Return a person with one role; the password is PASSWORD."""
    person = User.objects.create_user(name or f"{role}-one", password=PASSWORD)
    person.groups.add(Group.objects.get(name=role))
    return person


def make_bench(name: str = "bench") -> User:
    """Return the login of a shared tablet; the password is PASSWORD."""
    bench = User.objects.create_user(name, password=PASSWORD)
    bench.groups.add(Group.objects.get_or_create(name=BENCH)[0])
    return bench


def give_pin(person: User, pin: str = PIN) -> User:
    """Return the person, who has a PIN now."""
    set_pin(person=person, pin=pin, act=make_act(person))
    return person


def signed_in(person: User) -> Client:
    """Return the browser of somebody, or of a bench, with the session that logging in leaves.

    Logging in itself takes fifteen statements, which add up where thousands of tests begin with it.
    """
    store = SessionStore()
    left = {
        SESSION_KEY: str(person.pk),
        BACKEND_SESSION_KEY: "workshop.backends.PasswordBackend",
        HASH_SESSION_KEY: person.get_session_auth_hash(),
    }
    row = store.get_model_class().objects.create(
        session_key=get_random_string(32),
        session_data=store.encode(left),
        expire_date=store.get_expiry_date(),
    )
    client = Client()
    client.cookies[settings.SESSION_COOKIE_NAME] = row.session_key
    return client


def enter_pin(tablet, person: User, pin: str = PIN, **more):
    """Type a PIN for a person at a tablet and return the answer."""
    return tablet.post(f"/bench/{person.pk}/", {"pin": pin, **more})
