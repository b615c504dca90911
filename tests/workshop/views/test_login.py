"""Logging in and out."""

import pytest

from tests.factories.people import PASSWORD

pytestmark = pytest.mark.django_db


def enter(client, password, **more):
    sent = {"username": "operator-one", "password": password} | more
    return client.post("/login/", sent)


def test_a_stranger_is_sent_to_log_in_and_back(client, operator):
    assert client.get("/runs/").headers["Location"] == "/login/?next=/runs/"
    assert enter(client, PASSWORD, next="/runs/").headers["Location"] == "/runs/"


def test_nobody_is_sent_elsewhere_after_logging_in(client, operator):
    answer = enter(client, PASSWORD, next="https://elsewhere.example/")
    assert answer.headers["Location"] == "/"


def test_a_wrong_password_says_so_and_keeps_the_name(client, operator):
    answer = enter(client, "wrong")
    assert 'value="operator-one"' in answer.content.decode()
    assert "_auth_user_id" not in client.session


def test_too_many_wrong_passwords_meet_a_closed_door(client, operator, settings):
    settings.AXES_ENABLED = True
    answers = [enter(client, "wrong") for _number in range(settings.AXES_FAILURE_LIMIT)]
    assert answers[-1].status_code == 429
    assert "Wait fifteen minutes" in answers[-1].content.decode()
    assert enter(client, PASSWORD).status_code == 429


def test_logging_out_ends_the_session(floor):
    assert floor.post("/logout/").headers["Location"] == "/login/"
    assert floor.get("/").status_code == 302


def test_a_login_without_a_role_sees_nothing(client, django_user_model):
    client.force_login(
        django_user_model.objects.create_user("nobody"),
        backend="workshop.backends.PasswordBackend",
    )
    assert client.get("/").status_code == 403
