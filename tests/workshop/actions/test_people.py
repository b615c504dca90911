"""People of the workshop get a login and one role."""

import pytest
from django.contrib.auth.models import User
from django.core.exceptions import ValidationError

from inventory.queries.access import role_of
from tests.factories.book import refused
from tests.factories.people import PASSWORD
from workshop.actions.people import add_person

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
