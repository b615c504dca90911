"""Faults planted in counts, behind the guards of the book, are found and named."""

from importlib import import_module

import pytest
from django.db import connection

from inventory.actions.postings import reverse_posting
from inventory.models import Count
from inventory.queries.lots import open_lot_in
from inventory.queries.verification import CHECKS, first_fault
from tests.factories.book import lift_guards, run
from tests.factories.counts import count
from tests.factories.inventory import BinFactory, make_act, make_delivery, make_full_bin
from tests.kept import kept

guards = import_module("inventory.migrations.0008_counts_append_only")
pytestmark = pytest.mark.django_db


@pytest.fixture
@kept
def book(operator, lead):
    """Counts of one bin: less, more, agreed, and one that was reversed."""
    bin, _lot = make_full_bin(operator)
    for net_mg in (9_700_000, 10_500_000, 10_500_000):
        count(bin, net_mg, operator)
    wrong = count(bin, 9_000_000, operator)
    reverse_posting(posting=wrong.posting, act=make_act(lead, "misread"))
    return bin


def tamper(*statements):
    run(*guards.drop_statements(connection.vendor), *statements)
    run(*guards.STATEMENTS[connection.vendor]())


def stored(uuid):
    return uuid.hex if connection.vendor == "sqlite" else str(uuid)


def faults():
    return list(CHECKS["counts"]())


def test_counts_that_only_actions_wrote_have_no_fault(book, operator):
    make_delivery(operator, bin=book)
    count(book, open_lot_in(book).held_mg + 100_000, operator)
    assert first_fault() is None


def test_finds_a_scale_that_is_not_what_was_booked(book):
    first = Count.objects.earliest("pk")
    tamper(
        "UPDATE inventory_count SET net_mg = net_mg + 1, shown_mg = shown_mg + 1"  # noqa: S608
        f" WHERE id = {first.pk}"
    )
    assert faults() == [
        f"count {first.uuid} of bin {book.name}: book 10000000 mg, scale 9700001 mg, "
        f"yet {first.posting.number} found 10000000 mg and moved -300000 mg",
        f"count {first.uuid}: is not what its act asked for",
    ]


def test_finds_a_book_that_was_another_then(book):
    """Book and scale moved together keep their difference; what the ledger held then does not."""
    first = Count.objects.earliest("pk")
    tamper(
        "UPDATE inventory_count SET net_mg = net_mg + 1, shown_mg = shown_mg + 1,"  # noqa: S608
        f" book_mg = book_mg + 1 WHERE id = {first.pk}"
    )
    assert "found 10000000 mg" in faults()[0]


def test_finds_figures_of_a_count_that_agreed(book):
    agreed = Count.objects.get(posting=None)
    tamper(f"UPDATE inventory_count SET book_mg = book_mg + 1 WHERE id = {agreed.pk}")  # noqa: S608
    assert faults() == [f"count {agreed.uuid}: is not what its act asked for"]


def test_finds_a_count_that_is_gone(book):
    agreed = Count.objects.get(posting=None)
    tamper(f"DELETE FROM inventory_count WHERE id = {agreed.pk}")  # noqa: S608
    assert faults() == [f"count {agreed.uuid}: is not what its act asked for"]


def test_finds_a_count_that_no_act_made(operator, book):
    lone = count(BinFactory(), 0, operator)
    lift_guards()
    run(f"DELETE FROM inventory_change WHERE uuid = '{stored(lone.uuid)}'")  # noqa: S608
    assert faults() == [f"count {lone.uuid}: nothing in the book made it"]


def test_finds_that_the_guard_of_counts_is_gone(book):
    run(*guards.drop_statements(connection.vendor))
    assert "inventory_count" in first_fault()[1][0]
