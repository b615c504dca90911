"""What the service worker is given: itself, what to keep, and for whom a page was made."""

import json

import pytest
from django.test import Client
from django.urls import reverse

from tests.factories.inventory import BinFactory, make_full_bin
from tests.factories.workshop import make_run

pytestmark = pytest.mark.django_db


def test_the_worker_may_answer_for_every_page_and_is_always_asked_for():
    answer = Client().get("/worker.js")
    assert answer.headers["Content-Type"].startswith("text/javascript")
    assert answer.headers["Service-Worker-Allowed"] == "/"
    assert "no-cache" in answer.headers["Cache-Control"]


def test_the_worker_knows_the_workshop_and_loads_its_script():
    first, second = Client().get("/worker.js").content.decode().strip().splitlines()
    facts = json.loads(first.removeprefix("self.KEPT = ").removesuffix(";"))
    assert {"/login/", "/logout/"} <= set(facts["signInPages"])
    assert second == 'importScripts("/static/js/kept_pages.js");'


def test_people_and_sign_in_pages_are_in_no_kept_place():
    first = Client().get("/worker.js").content.decode().splitlines()[0]
    places = json.loads(first.removeprefix("self.KEPT = ").removesuffix(";"))["places"]
    private = ["/login/", "/logout/", "/people/", "/bench/", "/admin/", "/api/"]
    assert [path for path in private if path.startswith(tuple(places))] == []


def test_open_runs_and_bins_are_listed_with_where_their_codes_lead(floor, operator):
    run = make_run(operator)
    bin, lot = make_full_bin(operator, bin_fields={"name": "B-07"})
    listed = floor.get(reverse("offline-pages")).json()
    assert listed["pages"] == [run.get_absolute_url(), bin.get_absolute_url()]
    assert listed["codes"]["B07"] == {"page": bin.get_absolute_url(), "lot": lot.code}
    assert listed["codes"][run.code]["page"] == run.get_absolute_url()


def test_an_empty_bin_leads_to_no_lot(floor):
    bin = BinFactory(name="B-08")
    listed = floor.get(reverse("offline-pages")).json()
    assert listed["codes"]["B08"] == {"page": bin.get_absolute_url()}


def test_the_list_takes_few_questions(floor, operator, django_assert_max_num_queries):
    for _number in range(5):
        make_full_bin(operator)
    with django_assert_max_num_queries(8):
        floor.get(reverse("offline-pages"))


def test_a_page_says_for_whom_it_was_made(floor, operator):
    assert floor.get("/").headers["X-Person"] == operator.username


def test_a_page_for_nobody_says_so():
    assert "X-Person" not in Client().get("/login/").headers


def test_the_page_for_what_was_not_seen_leads_to_open_runs(floor, operator):
    run = make_run(operator)
    assert run.get_absolute_url() in floor.get(reverse("offline")).content.decode()


def test_what_is_fetched_ahead_leaves_the_message_for_the_page_that_is_seen(floor, operator, key):
    _bin, lot = make_full_bin(operator)
    floor.post(reverse("inventory:lot-hold", args=[lot.code]), {"key": key, "reason": "smells"})
    home = reverse("home")
    ahead = floor.get(home, headers={"X-Fetched-Ahead": "yes"}).content.decode()
    assert "is on hold now" not in ahead
    assert "is on hold now" in floor.get(home).content.decode()
