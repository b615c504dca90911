"""The last scans of a login, kept on the tablet."""

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from tests.factories.inventory import BinFactory
from tests.factories.workshop import make_run

pytestmark = pytest.mark.django_db


@pytest.fixture
def bins(db):
    return [BinFactory(name=f"B-{number:02d}") for number in range(10)]


def names(client):
    return [scan["name"] for scan in client.get("/bins/").context["recent_scans"]()]


def test_the_newest_scan_comes_first(bins, floor):
    floor.get("/q/B-01/")
    floor.get("/q/B-02/")
    assert names(floor) == ["B-02", "B-01"]


def test_a_thing_scanned_again_moves_to_the_front(bins, floor):
    for name in ("B-01", "B-02", "b01"):
        floor.get(f"/q/{name}/")
    assert names(floor) == ["B-01", "B-02"]


def test_eight_are_kept(bins, floor):
    for bin in bins:
        floor.get(f"/q/{bin.name}/")
    assert names(floor) == [bin.name for bin in reversed(bins[2:])]


def test_a_scan_writes_nothing(bins, floor):
    with CaptureQueriesContext(connection) as asked:
        floor.get("/q/B-01/")
    assert [each["sql"] for each in asked if not each["sql"].startswith("SELECT")] == []


def test_the_same_thing_again_sends_no_cookie_again(bins, floor):
    assert "recent_scans" in floor.get("/q/B-01/").cookies
    assert "recent_scans" not in floor.get("/q/B-01/").cookies


def test_no_script_reads_them_and_no_other_site_gets_them(bins, floor):
    cookie = floor.get("/q/B-01/").cookies["recent_scans"]
    assert (cookie["httponly"], cookie["samesite"], cookie["max-age"]) == (True, "Lax", "")
    assert "B-01" not in cookie.value


@pytest.mark.parametrize("cookie", ["", "x", "a:b:c", "\u00e9", "W10:1:2"])
def test_a_forged_cookie_is_no_cookie(bins, floor, cookie):
    floor.cookies["recent_scans"] = cookie
    assert names(floor) == []


def test_another_login_at_the_same_tablet_sees_none_of_them(bins, floor, lead):
    floor.get("/q/B-01/")
    assert names(floor) == ["B-01"]
    kept = floor.cookies["recent_scans"].value
    floor.logout()
    floor.force_login(lead)
    floor.cookies["recent_scans"] = kept
    assert names(floor) == []


def test_what_is_not_ours_is_not_kept(floor):
    floor.get("/q/", {"code": "WIFI:P:secret;;"})
    assert names(floor) == []


def test_they_stand_on_the_next_page_and_open_again(bins, floor):
    floor.get("/q/B-01/")
    page = floor.get("/bins/").content.decode()
    assert f'href="/q/?code={bins[1].code}" data-scan-code="{bins[1].code}"' in page


def test_on_a_runs_page_they_lead_into_the_run(bins, operator, floor):
    run = make_run(operator)
    floor.get("/q/B-01/")
    page = floor.get(f"/runs/{run.code}/").content.decode()
    assert f"/q/?code={bins[1].code}&amp;run={run.code}&amp;stage=load" in page


def test_a_name_is_only_text(floor):
    BinFactory(name="<b>x</b>", code="ABCDEFGHJKMN")
    floor.get("/q/ABCDEFGHJKMN/")
    assert "<b>x</b>" not in floor.get("/bins/").content.decode()
