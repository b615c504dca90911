"""People of the workshop, all invented."""

from django.contrib.auth.models import Group, User

PASSWORD = "a-long-test-password"


def make_person(role: str, name: str = "") -> User:
    """Return a person with one role; the password is PASSWORD."""
    person = User.objects.create_user(name or f"{role}-one", password=PASSWORD)
    person.groups.add(Group.objects.get(name=role))
    return person
