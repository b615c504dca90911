"""The control that sets a trace back to a past moment."""

from datetime import timedelta

import pytest
from django.urls import reverse
from django.utils import timezone

from inventory.actions.lots import move_lot
from tests.factories.inventory import KG, BinFactory, grams, make_act, make_full_bin
from tests.factories.mendings import make_fix, mend

DAY = timedelta(days=1)


def page(client, code, name="trace", **query):
    return client.get(reverse(f"inventory:{name}", args=[code]), query)


def day(moment):
    return timezone.localtime(moment).date().isoformat()


@pytest.fixture
def bin(operator):
    """A bin into which 3 kg came five days ago and that was emptied two days ago."""
    now, bin = timezone.now(), BinFactory(name="B-99")
    _other, lot = make_full_bin(operator, act=make_act(operator, happened_at=now - 9 * DAY))
    act = make_act(operator, happened_at=now - 5 * DAY)
    move_lot(lot=lot, bin=bin, mass=grams(3000), act=act)
    act = make_act(operator, happened_at=now - 2 * DAY)
    move_lot(lot=bin.lots.get(), bin=BinFactory(), act=act)
    return bin


def test_this_bin_on_an_earlier_day(floor, bin):
    answer = page(floor, bin.name, happened_at=day(timezone.now() - 4 * DAY))
    answer = floor.get(answer.url)
    assert (answer.context["lot"].code, answer.context["lot"].held_mg) == (
        bin.lots.get().code,
        3 * KG,
    )
    assert "As it was on" in answer.content.decode()


@pytest.mark.parametrize("zone", ["Pacific/Auckland", "America/Los_Angeles"])
@pytest.mark.parametrize("name", ["happened_at", "known_at"])
@pytest.mark.parametrize("moment", ["0001-01-01", "0001-01-01T00:00", "9999-12-31", "yesterday"])
def test_a_moment_of_no_book_is_refused_at_its_box(floor, bin, settings, zone, name, moment):
    settings.TIME_ZONE = zone
    code = bin.lots.get().code
    for address in ("trace", "trace-picture", "trace-postings"):
        answer = page(floor, code, address, **{name: moment})
        assert answer.context["moment"].has_error(name)
        assert b"errorlist" in answer.content or b'role="alert"' in answer.content


def test_says_that_the_bin_was_empty_then(floor, bin):
    answer = page(floor, bin.name, happened_at=day(timezone.now() - 8 * DAY))
    assert answer.status_code == 404
    assert "empty at that moment" in answer.content.decode()


def test_the_start_leads_to_a_past_moment(floor, bin):
    when = day(timezone.now() - 4 * DAY)
    answer = floor.get(reverse("inventory:trace-start"), {"code": bin.name, "happened_at": when})
    assert f"happened_at={when}" in answer.url


@pytest.mark.parametrize("name", ["trace", "trace-origins", "trace-steps", "trace-uses"])
def test_what_was_known_before_a_correction_is_shown_so(floor, lead, bin, name):
    wrong = bin.lots.get().filled_by
    fill = bin.lots.get()
    known = timezone.localtime().isoformat()
    mend(lead, make_fix(wrong, 3.5))
    answer = page(floor, fill.code, name, known_at=known)
    assert (answer.status_code, answer.context["lot"].in_mg) == (200, 3 * KG)
    assert "As known on" in answer.content.decode()


def test_a_moment_that_is_none_is_asked_back(floor, bin):
    answer = page(floor, bin.lots.get().code, known_at="yesterday")
    assert (answer.status_code, bool(answer.context["moment"].errors)) == (200, True)


def test_the_api_answers_of_a_past_moment(api_client, lead, bin):
    fill, known = bin.lots.get(), timezone.localtime().isoformat()
    mend(lead, make_fix(fill.filled_by, 3.5))
    address = f"/api/lots/{fill.code}/origins/"
    then, now = api_client.get(address, {"known_at": known}), api_client.get(address)
    assert (then.json()["total_mg"], now.json()["total_mg"]) == (3 * KG, 3_500_000)


@pytest.mark.parametrize("query", [{"known_at": "yesterday"}, {"kown_at": "2026-03-03"}])
def test_the_api_refuses_a_moment_that_is_none(api_client, bin, query):
    answer = api_client.get(f"/api/lots/{bin.lots.get().code}/uses/", query)
    assert (answer.status_code, answer.json()["code"]) == (400, "invalid")
