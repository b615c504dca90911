"""The board of bins and the page of each."""

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from inventory.actions.lots import hold_lot
from inventory.models import Bin
from inventory.queries.bins import LATEST
from inventory.queries.lots import open_lot_in
from tests.factories.inventory import (
    KG,
    BinFactory,
    make_act,
    make_delivery,
    make_full_bin,
)
from tests.factories.workshop import load, make_run

BOARD_QUERIES = 10
PAGE_QUERIES = 10


def history_of(bin):
    return reverse("inventory:bin-history", args=[bin.code])


def shown(client, **query):
    return client.get(reverse("inventory:bin-board"), query)


def test_the_board_shows_what_a_bin_holds_and_where_it_stands(floor, operator):
    make_full_bin(operator, bin_fields={"name": "B-07", "place": "rack 2"})
    text = shown(floor).content.decode()
    assert "B-07" in text
    assert "rack 2" in text
    assert "&gt;PE-HD&lt;" in text
    assert "10\xa0kg" in text


def test_the_board_asks_as_often_for_one_bin_as_for_thirty(floor, operator):
    make_full_bin(operator)
    with CaptureQueriesContext(connection) as one:
        shown(floor)
    fresh = [make_full_bin(operator) for _ in range(29)]
    with CaptureQueriesContext(connection) as many:
        shown(floor)
    assert len(fresh) == 29
    assert len(many) <= len(one) <= BOARD_QUERIES


def test_the_board_shows_twenty_five_bins_a_page(floor, operator):
    BinFactory.create_batch(26)
    first = shown(floor).context
    assert len(first["cards"]) == 25
    assert len(shown(floor, page=first["page"].next).context["cards"]) == 1


@pytest.mark.parametrize(
    ("query", "names"),
    [
        ({"polymer": "PE-HD"}, ["A-1"]),
        ({"colour": "red"}, ["A-2"]),
        ({"place": "rack 9"}, ["A-3"]),
        ({"state": "empty"}, ["A-3"]),
        ({"state": "held"}, ["A-2"]),
        ({"state": "filled", "sort": "-held"}, ["A-2", "A-1"]),
        ({"form": "flake", "sort": "held"}, ["A-1", "A-2"]),
        ({"q": "a-1"}, ["A-1"]),
        ({"q": "nothing like it"}, []),
    ],
)
def test_the_board_finds_bins(floor, operator, query, names):
    make_full_bin(operator, bin_fields={"name": "A-1"})
    _bin, lot = make_full_bin(
        operator, bin_fields={"name": "A-2"}, polymer="PP", colour="red", net_mg=12 * KG
    )
    hold_lot(lot=lot, act=make_act(operator, "smells"))
    BinFactory(name="A-3", place="rack 9")
    assert [card.bin.name for card in shown(floor, **query).context["cards"]] == names


def test_a_retired_bin_shows_only_when_asked_for(floor, operator):
    bin = BinFactory(retired_at="2026-01-01T00:00Z")
    assert shown(floor).context["cards"] == []
    assert [card.bin for card in shown(floor, state="retired").context["cards"]] == [bin]


def test_the_board_says_what_to_do_when_nothing_is_found(floor, operator):
    assert "No bin fits this search" in shown(floor, q="zzz").content.decode()


def test_a_bin_page_shows_its_postings_newest_first(floor, operator):
    bin, lot = make_full_bin(operator)
    load(make_run(operator), lot, operator, KG)
    entries = floor.get(bin.get_absolute_url()).context["entries"]
    assert [entry.mass_mg for entry in entries] == [-KG, 10 * KG]


def test_a_bin_page_keeps_to_its_queries_however_long_its_history(floor, operator):
    bin, lot = make_full_bin(operator)
    run = make_run(operator)
    for _ in range(30):
        load(run, lot, operator, KG // 10)
    with CaptureQueriesContext(connection) as asked:
        answer = floor.get(bin.get_absolute_url())
    assert len(answer.context["entries"]) == LATEST
    assert len(asked) <= PAGE_QUERIES


def test_the_whole_history_of_a_bin_is_on_a_page_of_its_own(floor, operator):
    bin, lot = make_full_bin(operator)
    run = make_run(operator)
    for _ in range(30):
        load(run, lot, operator, KG // 10)
    with CaptureQueriesContext(connection) as asked:
        answer = floor.get(history_of(bin))
    assert len(answer.context["entries"]) == 31
    assert len(asked) <= PAGE_QUERIES


def test_older_contents_of_a_bin_stand_on_the_next_page(floor, operator):
    bin, _lot = make_full_bin(operator)
    for _ in range(4):
        load(make_run(operator), open_lot_in(bin), operator)
        make_delivery(operator, bin=bin)
    first = floor.get(history_of(bin)).context
    second = floor.get(history_of(bin), {"page": first["page"].next}).context
    assert [entry.mass_mg for entry in first["entries"]] == [10 * KG, -10 * KG] * 3 + [10 * KG]
    assert [entry.mass_mg for entry in second["entries"]] == [-10 * KG, 10 * KG]


def test_what_a_top_up_brought_over_counts_as_neither_taken_nor_given(floor, operator):
    bin, lot = make_full_bin(operator)
    load(make_run(operator), lot, operator, KG)
    make_delivery(operator, bin=bin)
    entries = floor.get(bin.get_absolute_url()).context["entries"]
    assert [entry.mass_mg for entry in entries] == [None, 10 * KG, -KG, 10 * KG]


def test_an_auditor_sees_a_bin_but_no_act(reader, operator):
    bin, lot = make_full_bin(operator)
    text = reader.get(bin.get_absolute_url()).content.decode()
    assert reverse("inventory:lot-move", args=[lot.code]) not in text
    assert reverse("inventory:lot-dispose", args=[lot.code]) not in text


def test_the_lead_puts_a_bin_into_use(desk, key):
    fields = {"key": key, "name": "B-99", "capacity": "50", "tare": "1,2", "polymer": "PP"}
    answer = desk.post(reverse("inventory:bin-create"), fields, follow=True)
    bin = Bin.objects.get(name="B-99")
    assert answer.redirect_chain[0][0] == bin.get_absolute_url()
    assert (bin.capacity_mg, bin.tare_mg, bin.polymer.symbol) == (50 * KG, 1_200_000, "PP")
    assert "B-99 is in use now" in answer.content.decode()


def test_a_taken_name_is_refused_and_what_was_typed_stays(desk, key):
    BinFactory(name="B-99")
    fields = {"key": key, "name": "B-99", "capacity": "48", "place": "by the door"}
    answer = desk.post(reverse("inventory:bin-create"), fields)
    assert answer.status_code == 422
    assert answer.context["form"].has_error("__all__", "name-taken")
    assert 'value="by the door"' in answer.content.decode()
    assert Bin.objects.count() == 1


def test_the_lead_changes_a_bin(desk, key):
    bin = BinFactory()
    fields = {"key": key, "name": bin.name, "capacity": "20", "place": "rack 4"}
    answer = desk.post(reverse("inventory:bin-edit", args=[bin.code]), fields)
    bin.refresh_from_db()
    assert answer.status_code == 302
    assert (bin.place, bin.capacity_mg) == ("rack 4", 20 * KG)


def test_a_bin_that_holds_something_is_not_retired(desk, operator, key):
    bin, _lot = make_full_bin(operator)
    answer = desk.post(reverse("inventory:bin-retire", args=[bin.code]), {"key": key})
    bin.refresh_from_db()
    assert answer.status_code == 422
    assert answer.context["form"].has_error("__all__", "not-empty")
    assert bin.retired_at is None


def test_an_empty_bin_is_retired(desk, key):
    bin = BinFactory()
    desk.post(reverse("inventory:bin-retire", args=[bin.code]), {"key": key})
    bin.refresh_from_db()
    assert bin.retired_at


def test_what_goes_in_is_scanned_and_leads_on_to_its_move(floor, operator):
    bin, other = BinFactory(), make_delivery(operator)
    answer = floor.get(reverse("inventory:bin-put", args=[bin.code]), {"code": other.number})
    assert answer.url == reverse("inventory:lot-move", args=[other.code]) + f"?bin={bin.code}"


def test_a_bin_offers_the_deliveries_on_the_floor_that_fit(floor, operator):
    bin, _lot = make_full_bin(operator)
    fits = make_delivery(operator)
    make_delivery(operator, polymer="PP")
    answer = floor.get(reverse("inventory:bin-put", args=[bin.code]))
    assert answer.context["lots"] == [fits.lot]


def test_an_unknown_scan_is_refused_with_a_sentence(floor, operator):
    bin = BinFactory()
    answer = floor.get(reverse("inventory:bin-put", args=[bin.code]), {"code": "B-77"})
    assert answer.status_code == 422
    assert "Nothing called B-77 can go in" in answer.content.decode()


def test_the_make_up_of_a_bin_is_given_of_what_it_holds_now(floor, operator):
    bin, lot = make_full_bin(operator)
    load(make_run(operator), lot, operator, KG)
    fill = open_lot_in(bin)
    answer = floor.get(reverse("inventory:lot-make-up", args=[fill.code]))
    assert sum(each.mass_mg for each in answer.context["make_up"].by_colour) == 9 * KG
