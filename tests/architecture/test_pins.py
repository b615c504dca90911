"""No role rises through a PIN: every address and every act, by people who typed one."""

from uuid import uuid4

import pytest
from django.contrib import admin
from django.contrib.auth.models import Group, User
from django.urls import get_resolver, reverse

from inventory.queries.access import (
    ACTS,
    AUDITOR,
    DESK,
    FLOOR,
    LEAD,
    OPERATOR,
    by_pin,
    may,
    role_of,
)
from tests.architecture.test_access import ALL, GUARDED, act_of, address, routes
from tests.factories.people import enter_pin, give_pin, make_bench, make_person, signed_in
from workshop.models import Badge

pytestmark = pytest.mark.django_db

DESK_PAGES = [name for name in GUARDED if ACTS.get(act_of(name)) == DESK]
FLOOR_PAGES = [name for name in GUARDED if ACTS.get(act_of(name)) == FLOOR]
READS = [name for name in GUARDED if act_of(name) == ""]
OWN = {"workshop:pin-own", "api:own-pin"}
OPEN_PAGES = {"workshop:turn-pick", "workshop:turn-seen"}
ADMIN = [name for name, _ in routes(get_resolver().url_patterns) if name.startswith("admin:")]
LISTS = [name for name in ADMIN if name.endswith(("_changelist", "_add"))]


def superuser(name="root"):
    return User.objects.create_superuser(name)


def tablet_of(person):
    """Return a tablet where the person typed the PIN."""
    tablet = signed_in(make_bench())
    enter_pin(tablet, give_pin(person))
    return tablet


def opened(tablet, name):
    is_api = hasattr(ALL[name].callback, "cls")
    return (tablet.post if is_api and act_of(name) else tablet.get)(address(name))


@pytest.mark.parametrize("act", ACTS)
def test_a_lead_by_pin_may_what_an_operator_may(act):
    person = by_pin(make_person(LEAD))
    allowed = OPERATOR in ACTS[act] and act != "pin.own"
    assert (may(person, act), role_of(person)) == (allowed, OPERATOR)


@pytest.mark.parametrize("act", ACTS)
def test_an_auditor_by_pin_may_nothing(act):
    person = by_pin(make_person(AUDITOR))
    assert (may(person, act), role_of(person)) == (False, AUDITOR)


def test_a_superuser_by_pin_is_an_operator():
    assert role_of(by_pin(superuser())) == OPERATOR


def test_a_login_without_a_role_has_none_by_pin():
    assert role_of(by_pin(User.objects.create_user("nobody"))) == ""


def test_there_is_something_to_walk():
    assert min(map(len, (DESK_PAGES, FLOOR_PAGES, READS, LISTS))) > 15


@pytest.mark.parametrize(
    "person", [lambda: make_person(LEAD), superuser], ids=["lead", "superuser"]
)
def test_no_desk_act_opens_to_a_pin(person):
    tablet = tablet_of(person())
    refused = {name: opened(tablet, name) for name in DESK_PAGES}
    assert {name for name, answer in refused.items() if answer.status_code != 403} == set()
    silent = [
        n for n, a in refused.items() if "log in with your password" not in a.content.decode()
    ]
    assert silent == []


def test_floor_acts_open_to_a_leads_pin_but_ones_own_pin():
    tablet = tablet_of(make_person(LEAD))
    shut = {name for name in FLOOR_PAGES if opened(tablet, name).status_code == 403}
    assert shut == OWN


def test_no_act_opens_to_an_auditors_pin():
    tablet = tablet_of(make_person(AUDITOR))
    answers = {name: opened(tablet, name).status_code for name in DESK_PAGES + FLOOR_PAGES}
    assert {name for name, status in answers.items() if status != 403} == set()


def test_reading_opens_to_an_auditors_pin():
    tablet = tablet_of(make_person(AUDITOR))
    assert [name for name in READS if opened(tablet, name).status_code == 403] == []


def test_nothing_opens_to_a_bench_where_nobody_typed_a_pin():
    tablet = signed_in(make_bench())
    answers = {name: opened(tablet, name) for name in GUARDED}
    passed = [name for name, answer in answers.items() if answer.status_code == 200]
    assert set(passed) == OPEN_PAGES
    locked = [answers[name] for name in GUARDED if name.startswith("api:") and name != "api:token"]
    assert {answer.json()["code"] for answer in locked} == {"pick-your-name"}


@pytest.mark.parametrize("headers", [{}, {"X-Typed-By": "root"}, {"X-Queued": "now"}])
def test_the_admin_stays_closed_to_a_pin(headers):
    tablet = tablet_of(superuser())
    for name in [*LISTS, "admin:index", "admin:login"]:
        assert tablet.get(reverse(name), headers=headers).status_code == 403
        assert tablet.post(reverse(name), headers=headers).status_code == 403


def test_the_admin_stays_closed_to_a_bench():
    bench = make_bench()
    bench.is_staff = bench.is_superuser = True
    bench.save()
    answer = signed_in(bench).get("/admin/")
    assert answer.headers["Location"].startswith("/bench/")


def test_the_admin_writes_no_pin():
    fields = admin.site._registry[Badge].fields  # noqa: SLF001
    assert fields == ("user", "set_at")


def test_a_bench_with_the_leads_group_gets_no_token_power():
    bench = make_bench()
    bench.groups.add(Group.objects.get(name=LEAD))
    assert [act for act in ACTS if may(bench, act)] == []


def test_a_role_taken_away_is_gone_at_once():
    person = make_person(OPERATOR)
    tablet = tablet_of(person)
    person.groups.set([Group.objects.get(name=AUDITOR)])
    answer = tablet.post("/runs/open/", {"key": str(uuid4())})
    assert answer.status_code == 403
