"""A round at the tablet: started, left, shared, skipped, finished, and its spreadsheet."""

import csv
from io import StringIO

import pytest
from django.urls import reverse

from inventory.actions.rounds import finish_round
from inventory.models import Round, Stop
from tests.factories.counts import count, make_round
from tests.factories.inventory import KG, BinFactory, make_act, make_full_bin


@pytest.fixture
def bins(operator):
    return [
        make_full_bin(operator, bin_fields={"name": f"B-{n}", "place": place})[0]
        for n, place in enumerate(["rack", "rack", "wall"], 1)
    ]


@pytest.fixture
def walk(bins, operator):
    return make_round(operator)


def address(name, *args):
    return reverse(f"inventory:round-{name}", args=args)


def text(answer):
    return " ".join(answer.content.decode().replace("\xa0", " ").split())


def test_starting_leads_to_the_round(floor, bins, key):
    answer = floor.post(address("start"), {"key": key, "place": "rack", "days": "0"})
    walk = Round.objects.get()
    assert (answer.headers["Location"], walk.stops.count()) == (walk.get_absolute_url(), 2)


def test_a_round_without_a_bin_is_refused(floor, bins, key, operator):
    for bin in bins:
        count(bin, 10 * KG, operator)
    answer = floor.post(address("start"), {"key": key, "days": "30"})
    assert (answer.status_code, Round.objects.count()) == (422, 0)


def test_the_start_offers_to_go_on_with_an_open_round(floor, walk):
    assert f"Go on with {walk.number}: 0 of 3" in text(floor.get(address("start")))


def test_the_list_keeps_open_and_finished_rounds(floor, walk, operator):
    finish_round(walk=walk, act=make_act(operator, "closing time"))
    newer = make_round(operator)
    page = text(floor.get(address("list")))
    assert page.index("Under way") < page.index(newer.number) < page.index("Finished")
    assert page.index("Finished") < page.index(walk.number)


def test_the_list_says_what_a_round_is_while_there_is_none(floor):
    assert "No round yet" in text(floor.get(address("list")))


def test_the_round_shows_what_is_next_and_what_is_done(floor, walk, bins, operator):
    count(bins[0], 9_700_000, operator, stop=walk.stops.first())
    page = text(floor.get(walk.get_absolute_url()))
    assert "Count B-2" in page
    assert "1 of 3" in page
    assert "−0.300 kg" in page


def test_a_scanned_bin_leads_to_its_count(floor, walk, bins):
    answer = floor.get(walk.get_absolute_url(), {"bin": bins[2].code.lower()})
    expected = reverse("inventory:bin-count", args=[bins[2].code])
    assert answer.headers["Location"] == f"{expected}?round={walk.pk}"


@pytest.mark.parametrize("typed", ["B-9", "nothing"])
def test_a_bin_off_the_route_is_said_to_be(floor, walk, typed):
    BinFactory(name="B-9")
    assert floor.get(walk.get_absolute_url(), {"bin": typed}).status_code == 422


def test_one_tap_skips_a_bin_and_leads_to_the_next(floor, walk, bins, key):
    answer = floor.post(address("skip", walk.pk, bins[0].code), {"key": key, "cause": "busy"})
    expected = reverse("inventory:bin-count", args=[bins[1].code])
    assert answer.headers["Location"] == f"{expected}?round={walk.pk}"
    assert Stop.objects.get(bin=bins[0]).skip_reason == "in use just now"


def test_words_skip_a_bin_too(floor, walk, bins, key):
    floor.post(address("skip", walk.pk, bins[0].code), {"key": key, "reason": "under the stairs"})
    assert Stop.objects.get(bin=bins[0]).skip_reason == "under the stairs"


def test_a_skip_without_a_reason_is_refused(floor, walk, bins, key):
    answer = floor.post(address("skip", walk.pk, bins[0].code), {"key": key})
    assert (answer.status_code, Stop.objects.get(bin=bins[0]).skipped_at) == (422, None)


def test_finishing_names_what_is_left_and_asks_why(floor, walk, key):
    assert "B-1, B-2, B-3" in text(floor.get(address("finish", walk.pk)))
    assert floor.post(address("finish", walk.pk), {"key": key}).status_code == 422


def test_a_finished_round_offers_its_summary_and_no_act(floor, walk, key):
    floor.post(address("finish", walk.pk), {"key": key, "reason": "closing time"})
    page = text(floor.get(walk.get_absolute_url()))
    assert "3 skipped" in page
    assert "Finish the round" not in page
    assert address("summary", walk.pk) in page


def test_the_summary_is_a_spreadsheet(reader, walk, bins, operator):
    count(bins[0], 9_700_000, operator, stop=walk.stops.first())
    answer = reader.get(address("summary", walk.pk))
    rows = list(csv.DictReader(StringIO(answer.content.decode())))
    assert answer.headers["Content-Type"].startswith("text/csv")
    assert [row["state"] for row in rows] == ["corrected", "open", "open"]
    assert rows[0]["difference_kg"] == "-0.300000"


def test_no_cell_of_the_summary_is_taken_for_a_formula(reader, operator):
    BinFactory(name="=1+1", place="@home")
    answer = reader.get(address("summary", make_round(operator).pk))
    (row,) = csv.DictReader(StringIO(answer.content.decode()))
    assert (row["place"], row["bin"]) == ("'@home", "'=1+1")


def test_an_auditor_reads_a_round_and_starts_none(reader, walk):
    assert reader.get(walk.get_absolute_url()).status_code == 200
    assert reader.get(address("start")).status_code == 403


def test_a_round_keeps_to_its_queries_however_long_its_route(
    floor, walk, operator, django_assert_max_num_queries
):
    for _ in range(30):
        BinFactory()
    longer = make_round(operator)
    with django_assert_max_num_queries(9):
        floor.get(longer.get_absolute_url())
