"""What a tablet's queue is told when it sends an entry that waited."""

from datetime import timedelta
from urllib.parse import quote

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from inventory.models import Posting
from tests.factories.inventory import make_full_bin
from tests.factories.people import make_person, signed_in
from tests.factories.workshop import load, make_run
from workshop.models import Load

pytestmark = pytest.mark.django_db


@pytest.fixture
def run(operator):
    return make_run(operator)


@pytest.fixture
def url(run, operator):
    lot = make_full_bin(operator, bin_fields={"name": "B-07"})[1]
    return f"{reverse('workshop:run-load', args=[run.code])}?from={lot.code}"


@pytest.fixture
def entry(key):
    return {"key": key, "mass": "2.5", "happened_at": timezone.now().isoformat()}


def send(client, url, entry, mode="1", by="operator-one", **more):
    headers = {"X-Queued": mode, "X-Typed-By": quote(by)} | more
    return client.post(url, entry, headers=headers)


def loads():
    return Posting.objects.filter(kind="load")


def test_a_booked_entry_is_done_with_what_the_page_says(floor, url, entry):
    answer = send(floor, url, entry)
    assert answer.status_code == 200
    assert answer.json()["done"] is True
    assert "is in charge 1" in answer.json()["said"][0]
    assert loads().count() == 1


def test_what_was_said_to_the_queue_is_not_said_again(floor, url, entry, run):
    send(floor, url, entry)
    assert "is in charge 1" not in floor.get(run.get_absolute_url()).content.decode()


def test_a_live_entry_is_told_where_to_go_and_the_page_there_says_it(floor, url, entry, run):
    answer = send(floor, url, entry, "now")
    assert answer.json()["to"].startswith(run.get_absolute_url())
    assert "is in charge 1" in floor.get(run.get_absolute_url()).content.decode()


def test_a_live_refusal_is_the_page_itself(floor, url, entry):
    answer = send(floor, url, entry | {"mass": "99"}, "now")
    assert answer.status_code == 422
    assert answer.headers["Content-Type"].startswith("text/html")


def test_a_refusal_has_code_sentence_and_fields(floor, url, entry):
    answer = send(floor, url, entry | {"mass": "much"})
    assert answer.status_code == 422
    assert answer.json()["code"] == "not-a-number"
    assert answer.json()["fields"] == {"mass": ["Enter a mass such as 2.5."]}
    assert not loads().exists()


def test_the_refusal_of_an_action_is_its_sentence(floor, url, entry):
    answer = send(floor, url, entry | {"happened_at": "2999-01-01T10:00"})
    assert answer.json()["code"] == "future"
    assert "set the tablet's clock" in answer.json()["detail"]
    assert not loads().exists()


def test_the_same_entry_again_is_done_once(floor, url, entry):
    assert send(floor, url, entry).json()["done"] is True
    assert send(floor, url, entry).json()["done"] is True
    assert loads().count() == 1


def test_an_entry_whose_answer_was_lost_is_done_though_its_page_shows_something_else_now(
    floor, url, entry
):
    send(floor, url, entry)
    gone = url.split("?")[0] + "?from=B-99"
    assert send(floor, gone, entry).json()["done"] is True
    assert loads().count() == 1


def test_a_key_with_other_content_is_refused(floor, url, entry):
    send(floor, url, entry)
    answer = send(floor, url, entry | {"mass": "3"})
    assert (answer.status_code, answer.json()["code"]) == (422, "key-reused")
    assert loads().count() == 1


def test_a_page_that_only_shows_itself_has_booked_nothing(floor, entry, run):
    answer = send(floor, reverse("workshop:run-yield", args=[run.code]), entry)
    assert (answer.status_code, answer.json()["code"]) == (422, "look-again")


def test_what_is_gone_is_refused_in_a_sentence(floor, entry):
    answer = send(floor, reverse("workshop:run-load", args=["0" * 12]), entry)
    assert (answer.status_code, answer.json()["code"]) == (404, "gone")


def test_who_may_not_is_told_so(reader, auditor, url, entry):
    answer = send(reader, url, entry, by=auditor.username)
    assert (answer.status_code, answer.json()["code"]) == (403, "forbidden")
    assert not loads().exists()


def test_nobody_signed_in_is_no_refusal_of_the_entry(url, entry):
    answer = send(Client(), url, entry)
    assert (answer.status_code, answer.json()["code"]) == (401, "signed-out")
    assert not loads().exists()


@pytest.mark.parametrize("mode", ["1", "now"])
def test_another_person_s_entry_waits_for_that_person(floor, url, entry, mode):
    answer = send(floor, url, entry, mode, by="änne")
    assert (answer.status_code, answer.json()["code"]) == (409, "other-person")
    assert not loads().exists()


def test_an_old_token_is_told_apart_from_a_role(operator, url, entry):
    client = Client(enforce_csrf_checks=True)
    client.force_login(operator, backend="workshop.backends.PasswordBackend")
    answer = send(client, url, entry)
    assert (answer.status_code, answer.headers["X-Old-Token"]) == (403, "1")


def test_a_fresh_token_sends_it(operator, url, entry):
    client = Client(enforce_csrf_checks=True)
    client.force_login(operator, backend="workshop.backends.PasswordBackend")
    token = client.get(reverse("waiting-who")).json()["token"]
    answer = send(client, url, entry, **{"X-CSRFToken": token})
    assert answer.json()["done"] is True


def test_who_says_the_person_and_the_book_s_clock(operator, floor):
    answer = floor.get(reverse("waiting-who"))
    assert answer.json()["person"] == operator.username
    assert "no-store" in answer.headers["Cache-Control"]
    assert answer.json()["now"] <= timezone.now().isoformat()


def test_an_entry_of_days_ago_keeps_its_time_and_joins_the_book_last(floor, operator, url, entry):
    typed_at = timezone.now() - timedelta(days=3)
    other = make_run(operator)
    lot = make_full_bin(operator)[1]
    newer = load(other, lot, operator, 1_000_000).posting
    send(floor, url, entry | {"happened_at": typed_at.isoformat()})
    posting = Load.objects.exclude(posting=newer).get().posting
    assert posting.happened_at == typed_at
    assert posting.recorded_at > newer.recorded_at
    assert posting.pk > newer.pk


def test_a_clock_a_little_ahead_is_taken(floor, url, entry):
    ahead = timezone.now() + timedelta(minutes=4)
    assert send(floor, url, entry | {"happened_at": ahead.isoformat()}).json()["done"] is True


def test_pages_without_the_header_answer_as_ever(floor, url, entry):
    assert floor.post(url, entry).status_code == 302


def test_two_people_book_their_own(floor, url, entry, run):
    second = signed_in(make_person("operator", "operator-two"))
    send(floor, url, entry)
    other = entry | {"key": "5b2f3a52-46f7-4c0e-8d43-6f1a3d6d8a11"}
    assert send(second, url, other, by="operator-two").json()["done"] is True
    assert {each.by.username for each in loads()} == {"operator-one", "operator-two"}
