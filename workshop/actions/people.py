"""People of the workshop: a login and one role."""

from django.contrib.auth.models import Group, User
from django.contrib.auth.password_validation import validate_password
from django.db import transaction
from django.utils.translation import gettext_lazy as _

from inventory.actions.refusals import refusal
from inventory.queries.access import ROLES


@transaction.atomic
def add_person(*, username: str, role: str, password: str) -> User:
    """Add a person with one role.

    Refuses `name-taken`, `role` for a role that does not exist, and a password
    that is too weak.
    """
    if role not in ROLES:
        raise refusal("role", _("Choose one of the roles: operator, lead, auditor."))
    if User.objects.filter(username__iexact=username).exists():
        raise refusal("name-taken", _("This login name is taken; choose another one."))
    person = User(username=username)
    validate_password(password, person)
    person = User.objects.create_user(username, password=password)
    person.groups.add(Group.objects.get(name=role))
    return person
