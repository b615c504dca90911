"""People of the workshop and a shared tablet, all invented."""

from django.contrib.auth.models import Group, User
from django.test import Client

from inventory.queries.access import BENCH
from tests.factories.inventory import make_act
from workshop.actions.people import set_pin

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


def signed_in(bench: User) -> Client:
    """Return the browser of a tablet that is signed in as a bench."""
    client = Client()
    client.force_login(bench, backend="workshop.backends.PasswordBackend")
    return client


def enter_pin(tablet, person: User, pin: str = PIN, **more):
    """Type a PIN for a person at a tablet and return the answer."""
    return tablet.post(f"/bench/{person.pk}/", {"pin": pin, **more})
