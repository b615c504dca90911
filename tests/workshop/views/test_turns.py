"""At a shared tablet: pick a name, type the PIN, lock, and lose nothing that was typed."""

from datetime import timedelta
from uuid import uuid4

import pytest
from django.contrib.sessions.models import Session

from inventory.models import Change
from tests.factories.people import (
    PASSWORD,
    PIN,
    WRONG,
    enter_pin,
    give_pin,
    make_bench,
    make_person,
    signed_in,
)
from tests.factories.workshop import MachineFactory
from workshop.models import Purge, Turn

pytestmark = pytest.mark.django_db


@pytest.fixture
def bench():
    return make_bench()


@pytest.fixture
def tablet(bench):
    return signed_in(bench)


@pytest.fixture
def mina():
    return give_pin(make_person("operator", "mina"))


@pytest.fixture
def bo():
    return give_pin(make_person("operator", "bo"))


@pytest.fixture
def press():
    return MachineFactory(name="Sheet press")


def text(answer) -> str:
    return answer.content.decode()


def purge(tablet, press, why="run clear", **more):
    sent = {"key": str(uuid4()), "reason": why}
    return tablet.post(f"/machines/{press.pk}/purge/", sent, **more)


def sleep(minutes):
    """Let a turn be as if nobody had touched the tablet for so long."""
    for turn in Turn.objects.all():
        turn.last_seen_at -= timedelta(minutes=minutes)
        turn.began_at -= timedelta(minutes=minutes)
        turn.save()


def test_a_bench_leads_to_the_names_and_back(tablet, mina):
    answer = tablet.get("/runs/?state=open")
    assert answer.headers["Location"] == "/bench/?next=/runs/%3Fstate%3Dopen"
    assert "mina" in text(tablet.get(answer.headers["Location"]))
    assert (
        enter_pin(tablet, mina, next="/runs/?state=open").headers["Location"].startswith("/runs/")
    )
    assert tablet.get("/runs/").status_code == 200


def test_work_is_booked_to_who_typed_the_pin(tablet, mina, press):
    enter_pin(tablet, mina)
    purge(tablet, press)
    assert Purge.objects.get().by == mina
    assert Change.objects.get(verb="purge").role == "operator"


def test_no_work_is_booked_to_a_bench(tablet, press):
    assert purge(tablet, press).headers["Location"].startswith("/bench/")
    assert not Purge.objects.exists()


def test_who_worked_here_last_stands_first(tablet, mina, bo, operator):
    give_pin(operator)
    enter_pin(tablet, mina)
    enter_pin(tablet, bo)
    names = tablet.get("/bench/").context
    assert [each["name"] for each in names["lately"]] == ["bo", "mina"]
    assert [each["name"] for each in names["others"]] == ["operator-one"]


def test_only_people_with_a_pin_and_a_role_stand_there(tablet, mina, operator, django_user_model):
    give_pin(django_user_model.objects.create_user("nobody"))
    left = give_pin(make_person("operator", "gone"))
    left.is_active = False
    left.save()
    names = tablet.get("/bench/").context
    assert [each["name"] for each in names["others"]] == ["mina"]
    assert enter_pin(tablet, left).status_code == 404


def test_a_wrong_pin_is_refused_and_not_shown(tablet, mina):
    answer = enter_pin(tablet, mina, WRONG)
    assert answer.status_code == 422
    assert "4 tries are left" in text(answer)
    assert WRONG not in text(answer)
    assert tablet.get("/").status_code == 302


def test_a_locked_out_person_sees_no_keys(tablet, mina):
    for _ in range(5):
        answer = enter_pin(tablet, mina, WRONG)
    assert "wait 5 minutes" in text(answer)
    assert 'name="pin"' not in text(answer)


def test_a_pin_comes_under_a_new_session_key(tablet, mina):
    tablet.get("/bench/")
    before = tablet.session.session_key
    enter_pin(tablet, mina)
    assert tablet.session.session_key != before
    assert not Session.objects.filter(session_key=before).exists()


def test_no_pin_stands_in_a_session(tablet, mina):
    enter_pin(tablet, mina)
    assert PIN not in str([each.get_decoded() for each in Session.objects.all()])


def test_nobody_is_sent_elsewhere(tablet, mina):
    for where in ("https://elsewhere.example/", "//elsewhere.example/", "javascript:x"):
        assert enter_pin(tablet, mina, next=where).headers["Location"] == "/"


def test_a_tap_locks(tablet, mina):
    enter_pin(tablet, mina)
    assert tablet.post("/bench/lock/").headers["Location"] == "/bench/"
    assert tablet.get("/").headers["Location"] == "/bench/?next=/"
    assert Turn.objects.get().ended_at


def test_an_old_session_brings_no_locked_turn_back(tablet, mina):
    """A slow answer may save the session as it was before the lock."""
    enter_pin(tablet, mina)
    session = tablet.session
    tablet.post("/bench/lock/")
    session.save()
    assert tablet.get("/").status_code == 302


def test_a_turn_counts_only_at_its_own_bench(tablet, mina):
    enter_pin(tablet, mina)
    other = signed_in(make_bench("other"))
    session = other.session
    session["turn"] = Turn.objects.get().pk
    session.save()
    assert other.get("/").status_code == 302


def test_five_minutes_without_a_touch_lock(tablet, mina):
    enter_pin(tablet, mina)
    sleep(minutes=6)
    assert tablet.get("/").status_code == 302


def test_a_page_that_looks_again_by_itself_is_no_touch(tablet, mina):
    enter_pin(tablet, mina)
    sleep(minutes=4)
    tablet.get("/", headers={"HX-Request": "true", "Accept": "text/html"})
    tablet.get("/bench/seen/")
    sleep(minutes=2)
    assert tablet.get("/").status_code == 302


def test_a_touch_keeps_the_turn(tablet, mina):
    enter_pin(tablet, mina)
    sleep(minutes=4)
    tablet.post("/bench/seen/")
    sleep(minutes=4)
    assert tablet.get("/").status_code == 200


def test_the_workshop_sets_how_long(tablet, mina, settings):
    settings.IDLE_LOCK_MINUTES = 30
    enter_pin(tablet, mina)
    sleep(minutes=29)
    assert tablet.get("/").status_code == 200


def test_what_was_typed_into_a_locked_bench_waits_for_who_typed_it(tablet, mina, press):
    enter_pin(tablet, mina)
    sleep(minutes=6)
    purge(tablet, press, "run clear with 2 kg")
    assert enter_pin(tablet, mina).headers["Location"] == "/bench/typed/"
    page = text(tablet.get("/bench/typed/"))
    assert "run clear with 2 kg" in page
    assert f'action="/machines/{press.pk}/purge/"' in page
    assert not Purge.objects.exists()


def test_what_was_typed_is_sent_once(tablet, mina, press):
    enter_pin(tablet, mina)
    sleep(minutes=6)
    purge(tablet, press)
    enter_pin(tablet, mina)
    purge(tablet, press)
    assert tablet.get("/bench/typed/").headers["Location"] == "/"


def test_nobody_else_sends_what_was_typed(tablet, mina, bo, press):
    enter_pin(tablet, mina)
    sleep(minutes=6)
    purge(tablet, press)
    assert enter_pin(tablet, bo).headers["Location"] == "/"
    assert tablet.get("/bench/typed/").headers["Location"] == "/"
    assert enter_pin(tablet, mina).headers["Location"] == "/bench/typed/"


def test_what_was_typed_can_be_thrown_away(tablet, mina, press):
    purge(tablet, press)
    enter_pin(tablet, mina)
    tablet.post("/bench/typed/")
    assert "typed" not in tablet.session


def test_a_pin_typed_into_a_locked_bench_is_not_kept(tablet, lead):
    tablet.post("/people/pin/", {"pin": "2938", "again": "2938"})
    tablet.post(f"/people/{lead.pk}/pin/", {"pin": "2938", "again": "2938"})
    assert "typed" not in tablet.session


def test_an_endless_entry_is_not_kept(tablet, press):
    purge(tablet, press, "x" * 100_000)
    assert "typed" not in tablet.session


def test_another_persons_open_page_may_send_nothing_more(mina, bo, bench, press):
    """A form that mina opened is refused after bo typed a PIN; after mina's own it still goes."""
    tablet = signed_in(bench)
    tablet.handler.enforce_csrf_checks = True
    tablet.get("/bench/")
    first = tablet.cookies["csrftoken"].value
    type_pin = {"pin": PIN, "csrfmiddlewaretoken": first}
    tablet.post(f"/bench/{mina.pk}/", type_pin)
    opened = tablet.cookies["csrftoken"].value
    tablet.post(f"/bench/{mina.pk}/", type_pin | {"csrfmiddlewaretoken": opened})
    assert tablet.cookies["csrftoken"].value == opened
    tablet.post(f"/bench/{bo.pk}/", type_pin | {"csrfmiddlewaretoken": opened})
    answer = tablet.post(f"/machines/{press.pk}/purge/", {"csrfmiddlewaretoken": opened})
    assert answer.status_code == 403


def test_the_lock_over_a_page_is_answered_in_json(tablet, mina):
    json = {"Accept": "application/json"}
    wrong = tablet.post(f"/bench/{mina.pk}/", {"pin": WRONG}, headers=json)
    assert (wrong.status_code, wrong.json()["is_locked"]) == (422, False)
    assert "does not fit" in wrong.json()["detail"]
    assert tablet.post(f"/bench/{mina.pk}/", {"pin": PIN}, headers=json).status_code == 200
    assert tablet.get("/bench/seen/").json() == {"person": "mina"}
    assert tablet.post("/bench/lock/", headers=json).status_code == 204
    assert tablet.get("/bench/seen/").json() == {"person": ""}


def test_a_part_of_a_page_of_a_locked_bench_says_so_and_changes_nothing(tablet):
    answer = tablet.get("/", headers={"HX-Request": "true"})
    assert (answer.status_code, answer.headers["HX-Trigger"]) == (204, "bench-locked")


def test_the_name_of_who_works_stands_on_each_page(tablet, mina):
    mina.first_name, mina.last_name = "Mina", "Alder"
    mina.save()
    enter_pin(tablet, mina)
    page = text(tablet.get("/runs/"))
    assert "Mina Alder" in page
    assert 'data-idle-seconds="300"' in page


def test_pages_of_a_password_login_have_no_lock(floor):
    assert "data-lock" not in text(floor.get("/runs/"))


def test_the_bench_pages_lead_others_to_the_start(floor, mina):
    for path in ("/bench/", f"/bench/{mina.pk}/", "/bench/seen/", "/bench/typed/"):
        assert floor.get(path).headers["Location"] == "/"
    assert floor.post(f"/bench/{mina.pk}/", {"pin": PIN}).headers["Location"] == "/"
    assert not Turn.objects.exists()


def test_logging_out_ends_the_turn(tablet, mina):
    enter_pin(tablet, mina)
    tablet.post("/logout/")
    assert Turn.objects.get().ended_at
    assert "turn" not in tablet.session
    assert tablet.get("/").headers["Location"].startswith("/login/")


def test_a_password_login_takes_the_place_of_the_bench(tablet, mina, lead, client):
    enter_pin(tablet, mina)
    tablet.post("/login/", {"username": lead.username, "password": PASSWORD})
    assert "turn" not in tablet.session
    assert tablet.get("/machines/new/").status_code == 200


def test_a_bench_signs_in_with_its_password_and_asks_for_a_name(client, bench):
    client.post("/login/", {"username": "bench", "password": PASSWORD})
    assert client.get("/").headers["Location"] == "/bench/?next=/"
