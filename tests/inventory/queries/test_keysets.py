"""Pages by keyset hold exactly the rows of the whole list, whatever it is sorted by."""

from itertools import pairwise

import pytest
from django.db import connection
from django.db.models import F
from django.test.utils import CaptureQueriesContext

from inventory.forms.bins import BinFilter
from inventory.forms.lots import LotFilter
from inventory.forms.sources import SourceFilter
from inventory.models import Bin, Polymer, Source
from inventory.queries.bins import bins_with_mass
from inventory.queries.counts import with_counted_at
from inventory.queries.keysets import UnknownPageError, page_of
from inventory.queries.lots import lot_list
from inventory.queries.sources import source_list
from tests.factories.inventory import (
    BinFactory,
    ScaleFactory,
    SourceFactory,
    make_delivery,
    make_full_bin,
)

pytestmark = pytest.mark.django_db

SORTS = {
    "bins": ["", "name", "-name", "place", "held", "-held", "counted", "-counted"],
    "lots": ["", "opened", "held", "-held", "polymer", "-polymer"],
    "sources": ["", "received", "-received", "-deliveries", "last", "-last"],
}
ALL = [(name, sort) for name, sorts in SORTS.items() for sort in sorts]


def sorted_list(name, sort):
    rows = {
        "bins": lambda: with_counted_at(bins_with_mass()).order_by("name"),
        "lots": lot_list,
        "sources": source_list,
    }[name]()
    filters = {"bins": BinFilter, "lots": LotFilter, "sources": SourceFilter}[name]
    return filters({"sort": sort}, queryset=rows).qs


@pytest.fixture
def stock(operator):
    """Bins, lots and sources of which several are alike or empty in what lists are sorted by."""
    for number in range(4):
        make_full_bin(operator, bin_fields={"place": f"shelf {number // 2}"})
        BinFactory(place=f"shelf {number // 2}")
        SourceFactory()
    for polymer in (None, None, Polymer.objects.get(symbol="PP")):
        make_delivery(operator, polymer=polymer, identified_by="mark" if polymer else "unknown")


def pages_after(rows, *, per_page):
    page = page_of(rows, "", per_page=per_page)
    yield page
    while page.next:
        page = page_of(rows, page.next, per_page=per_page)
        yield page


def keys(pages):
    return [row.pk for page in pages for row in page]


@pytest.mark.parametrize("per_page", [1, 3, 50])
def test_every_row_stands_on_one_page_and_in_its_order(stock, per_page):
    for name, sort in ALL:
        assert_each_row_once_in_its_order(sorted_list(name, sort), per_page)


def assert_each_row_once_in_its_order(rows, per_page):
    pages = list(pages_after(rows, per_page=per_page))
    assert sorted(keys(pages)) == sorted(row.pk for row in rows)
    assert all(len(page) == per_page for page in pages[:-1])
    assert in_groups(keys(pages), rows) == in_groups([row.pk for row in rows], rows)


def in_groups(order, rows):
    """What the rows are sorted by, in an order of keys; rows that are alike may change places."""
    term = (rows.query.order_by or rows.model._meta.ordering)[0]
    name = term if isinstance(term, str) else term.expression.name
    values = dict(rows.values_list("pk", name.removeprefix("-")))
    return [values[pk] for pk in order]


def test_going_back_leads_over_the_same_pages(stock):
    for name, sort in ALL:
        assert_back_is_as_there(sorted_list(name, sort))


def assert_back_is_as_there(rows):
    pages = list(pages_after(rows, per_page=2))
    for before, after in pairwise(pages):
        again = page_of(rows, after.previous, per_page=2)
        assert list(again) == list(before)
        assert again.next
    assert page_of(rows, pages[1].previous, per_page=2).previous == ""


def test_rows_written_meanwhile_neither_repeat_nor_push_others_off(operator):
    old = [make_delivery(operator).lot_id for _ in range(6)][::-1]
    first = page_of(lot_list(), "", per_page=2)
    fresh = [make_delivery(operator).lot_id for _ in range(3)]
    second = page_of(lot_list(), first.next, per_page=2)
    third = page_of(lot_list(), second.next, per_page=2)
    assert keys([first, second, third]) == old
    newer = page_of(lot_list(), first_of_old(first), per_page=2)
    assert keys([newer]) == [fresh[1], fresh[0]]


def first_of_old(first):
    """The cursor of what lies before the page that was the first."""
    second = page_of(lot_list(), first.next, per_page=2)
    return page_of(lot_list(), second.previous, per_page=2).previous


def test_a_row_that_left_the_list_takes_no_other_with_it(operator):
    made = [BinFactory(name=f"B-{number}") for number in range(6)]
    first = page_of(bins_in_use(), "", per_page=2)
    Bin.objects.filter(pk=made[1].pk).delete()
    assert keys([page_of(bins_in_use(), first.next, per_page=2)]) == [made[2].pk, made[3].pk]


def bins_in_use():
    return Bin.objects.in_use().order_by("name")


@pytest.mark.parametrize("term", ["asc", "desc"])
@pytest.mark.parametrize("nulls", ["nulls_first", "nulls_last"])
def test_a_list_that_places_its_empty_values_keeps_them_there(operator, term, nulls):
    for number in range(3):
        BinFactory(polymer=None)
        BinFactory(polymer=Polymer.objects.all()[number])
    rows = Bin.objects.order_by(getattr(F("polymer__symbol"), term)(**{nulls: True}), "name")
    pages = list(pages_after(rows, per_page=2))
    assert keys(pages) == [row.pk for row in rows]
    assert list(page_of(rows, pages[-1].previous, per_page=2)) == list(pages[-2])


def test_a_page_is_one_query_that_passes_over_no_row_and_counts_none(operator):
    for _ in range(4):
        make_delivery(operator)
    first = page_of(lot_list(), "", per_page=2)
    with CaptureQueriesContext(connection) as asked:
        page_of(lot_list(), first.next, per_page=2)
    (query,) = [each["sql"] for each in asked]
    assert "OFFSET" not in query
    assert "COUNT" not in query.upper()
    assert "LIMIT 3" in query


def forged(cursor):
    return [
        "2",
        "x" * 5000,
        "naïve",
        "\x00",
        cursor[:-1] + ("A" if cursor[-1] != "A" else "B"),
        "Z" + cursor,
        cursor.split(":")[0],
    ]


def test_a_cursor_that_was_not_given_out_is_refused(operator):
    for _ in range(4):
        make_delivery(operator)
    for cursor in forged(page_of(lot_list(), "", per_page=2).next):
        with pytest.raises(UnknownPageError) as refusal:
            page_of(lot_list(), cursor, per_page=2)
        assert "begin at its first page" in refusal.value.messages[0]


def test_a_cursor_of_another_order_or_list_is_refused(operator):
    SourceFactory.create_batch(3)
    ScaleFactory.create_batch(3)
    cursor = page_of(Source.objects.order_by("name"), "", per_page=1).next
    for rows in (Source.objects.order_by("-name"), Bin.objects.order_by("name")):
        with pytest.raises(UnknownPageError):
            page_of(rows, cursor, per_page=1)


def test_an_empty_list_is_one_empty_page(operator):
    page = page_of(lot_list(), "", per_page=2)
    assert (len(page), page.has_other_pages) == (0, False)
