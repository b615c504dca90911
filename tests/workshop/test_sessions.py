"""Sessions and the person behind one, found by kept statements, end as Django's own do."""

from datetime import timedelta

import pytest
from django.contrib.sessions.models import Session
from django.test import Client
from django.utils import timezone

from workshop.sessions import SessionStore

pytestmark = pytest.mark.django_db


@pytest.fixture
def tablet(operator):
    client = Client()
    client.force_login(operator)
    return client


def is_in(client) -> bool:
    return client.get("/bins/").status_code == 200


def test_a_session_holds_from_one_request_to_the_next(tablet):
    assert is_in(tablet)
    assert isinstance(tablet.session, SessionStore)


def test_an_expired_session_is_nobodys(tablet):
    Session.objects.update(expire_date=timezone.now() - timedelta(seconds=1))
    assert not is_in(tablet)


def test_a_session_that_was_deleted_is_nobodys(tablet):
    Session.objects.all().delete()
    assert not is_in(tablet)


def test_a_session_of_another_key_is_a_new_one(tablet):
    store = SessionStore("x" * 32)
    assert store.load() == {}
    assert store.session_key is None


def test_somebody_who_may_not_log_in_any_more_is_out_at_once(tablet, operator):
    operator.is_active = False
    operator.save()
    assert not is_in(tablet)


def test_a_changed_password_ends_every_session(tablet, operator):
    operator.set_password("another one")
    operator.save()
    assert not is_in(tablet)


def test_somebody_deleted_is_out(tablet, operator):
    operator.delete()
    assert not is_in(tablet)
