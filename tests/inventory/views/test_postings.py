"""The ledger: its list, its pages, and reversal."""

import re

import pytest
from django.urls import reverse

from inventory.actions.lots import move_lot
from inventory.actions.postings import reverse_posting
from inventory.calculations.codes import group_code
from inventory.models import Mass, Posting
from inventory.queries.lots import open_lot_in
from tests.factories.counts import count
from tests.factories.inventory import (
    KG,
    BinFactory,
    SourceFactory,
    make_act,
    make_delivery,
    make_full_bin,
)

LIST_QUERIES = 8


@pytest.fixture
def moved(operator):
    """Two kilograms moved from B-07 to B-09."""
    _bin, lot = make_full_bin(operator, bin_fields={"name": "B-07"})
    target = BinFactory(name="B-09")
    return move_lot(lot=lot, bin=target, mass=Mass(2 * KG), act=make_act(operator))


def listed(client, **query):
    return client.get(reverse("inventory:posting-list"), query).context["page"]


def undo(client, posting, **fields):
    address = reverse("inventory:posting-reverse", args=[posting.uuid])
    return client.post(address, fields, follow=True)


def test_the_lead_reverses_a_posting(desk, moved, key):
    answer = undo(desk, moved, key=key, reason="wrong bin")
    mirror = Posting.objects.first()
    assert mirror.reverses == moved
    assert answer.redirect_chain[0][0] == mirror.get_absolute_url()
    assert f"{moved.number} was reversed by {mirror.number}." in answer.content.decode()


def test_a_posting_is_not_reversed_without_a_reason(desk, moved, key):
    answer = undo(desk, moved, key=key)
    assert answer.status_code == 422
    assert not Posting.objects.filter(reverses=moved).exists()


@pytest.mark.parametrize("zone", ["Pacific/Auckland", "America/Los_Angeles"])
@pytest.mark.parametrize(
    ("name", "day"), [("since", "0001-01-01"), ("until", "0001-01-01"), ("until", "9999-12-31")]
)
def test_a_day_of_no_book_is_refused_at_its_box(floor, moved, settings, zone, name, day):
    settings.TIME_ZONE = zone
    answer = floor.get(reverse("inventory:posting-list"), {name: day})
    assert answer.status_code == 200
    assert answer.context["filter"].form.has_error(name)


def test_what_stands_in_the_way_is_named(desk, lead, moved, key):
    fill = moved.transfers.get().target
    later = move_lot(lot=fill, bin=BinFactory(), act=make_act(lead))
    answer = undo(desk, moved, key=key, reason="wrong bin")
    assert answer.status_code == 422
    assert answer.context["form"].has_error("__all__", "later-postings")
    assert later.number in answer.context["hindrances"][0]
    assert open_lot_in(fill.bin) is None


@pytest.mark.parametrize("who", ["floor", "reader"])
def test_only_the_lead_reverses(request, who, moved, key):
    assert undo(request.getfixturevalue(who), moved, key=key, reason="x").status_code == 403


def test_a_posting_shows_its_transfers(floor, moved):
    text = floor.get(moved.get_absolute_url()).content.decode()
    assert "B-09" in text
    assert "2\xa0kg" in text
    assert "typed, no scale named" in text


def test_an_operator_is_offered_no_reversal(floor, moved):
    address = reverse("inventory:posting-reverse", args=[moved.uuid])
    assert address not in floor.get(moved.get_absolute_url()).content.decode()


@pytest.mark.parametrize(
    ("query", "count"),
    [
        ({}, 2),
        ({"kind": "move"}, 1),
        ({"by": "operator-one"}, 2),
        ({"reference": "B-09"}, 1),
        ({"of": "B-09"}, 1),
        ({"of": "b-07"}, 2),
        ({"of": "nothing"}, 0),
        ({"q": "b-09"}, 1),
        ({"since": "2030-01-01"}, 0),
        ({"until": "2020-01-01"}, 0),
        ({"sort": "-happened"}, 2),
    ],
)
def test_postings_are_found(floor, moved, query, count):
    assert len(listed(floor, **query)) == count


def test_a_posting_is_found_by_its_number(floor, moved):
    assert list(listed(floor, q=moved.number)) == [moved]


def test_a_number_too_long_for_the_book_finds_nothing(floor, moved):
    assert list(listed(floor, q="P-99999999999999999999")) == []


def test_a_day_holds_all_its_hours(floor, moved):
    day = moved.happened_at.date().isoformat()
    assert len(listed(floor, since=day, until=day)) == 2


def test_the_list_keeps_to_its_queries(floor, moved, django_assert_max_num_queries):
    with django_assert_max_num_queries(LIST_QUERIES):
        listed(floor)


def test_a_code_in_a_reference_is_read_in_groups_of_four(floor, operator):
    lot = make_delivery(operator).lot
    moved = move_lot(lot=lot, bin=BinFactory(name="B-09"), act=make_act(operator))
    assert lot.code in moved.reference
    pages = (moved, lot)
    for address in (
        *(page.get_absolute_url() for page in pages),
        reverse("inventory:posting-list"),
    ):
        said = re.sub('<[^>]+>|="[^"]*"', "", floor.get(address).content.decode())
        assert f"{group_code(lot.code)} " in said.replace("&gt;", ">").replace("\xa0", " ")
        assert f"{lot.code} >" not in said.replace("&gt;", ">")


def test_a_reference_is_found_by_its_code_as_it_is_read(floor, operator):
    lots = [make_delivery(operator).lot for _ in range(2)]
    moved = [move_lot(lot=lot, bin=BinFactory(), act=make_act(operator)) for lot in lots]
    for typed in (group_code(lots[0].code), group_code(lots[0].code).lower(), lots[0].code):
        assert list(listed(floor, q=typed).object_list) == [moved[0]]


def test_words_that_could_be_a_code_are_searched_as_they_are(floor, operator):
    source = SourceFactory(name="Contaminated")  # twelve letters of the alphabet of codes
    lot = make_delivery(operator, source=source).lot
    assert list(listed(floor, q="contaminated").object_list) == [lot.filled_by]


def test_what_stands_in_the_way_is_named_with_its_code_in_groups(desk, operator):
    lot = make_delivery(operator).lot
    move_lot(lot=lot, bin=BinFactory(name="B-09"), act=make_act(operator))
    page = desk.get(lot.filled_by.get_absolute_url()).content.decode().replace("&gt;", ">")
    assert f"moved {group_code(lot.code)} > B-09" in page


def test_what_a_count_found_is_told_once_in_the_ledger_and_so_is_its_reversal(floor, lead):
    bin, _lot = make_full_bin(lead)
    counted = count(bin, 10 * KG + 90_000, lead)
    back = reverse_posting(posting=counted.posting, act=make_act(lead, "misread"))
    shown = {each.pk: each.moved_mg for each in listed(floor).object_list}
    assert (shown[counted.posting_id], shown[back.pk]) == (90_000, 90_000)
