"""A book that is laid back is the one that was told, and nothing of one test gets into another."""

from datetime import date

import pytest
from django.db import connection, transaction

from inventory.actions.lots import move_lot
from inventory.models import Posting
from inventory.queries.verification import first_fault, one_moment
from tests import kept as kept_books
from tests.factories.audits import make_story
from tests.factories.inventory import BinFactory, grams, make_act, make_full_bin
from tests.kept import kept, rows_of_all

pytestmark = [
    pytest.mark.django_db,
    pytest.mark.skipif(connection.vendor != "sqlite", reason="books are kept on SQLite only"),
]


@pytest.fixture
def asked():
    return []


@pytest.fixture
def tell(asked):
    @kept
    def tell_once(operator, kilograms):
        asked.append(kilograms)
        bin, lot = make_full_bin(operator, net_mg=kilograms * 1_000_000)
        move_lot(lot=lot, bin=BinFactory(), mass=grams(500), act=make_act(operator))
        operator.first_name = "Ada"
        operator.save()
        return bin, lot

    return tell_once


def taken_back(tell):
    """Return what was told and the book after it, and leave the book as it was before."""
    with transaction.atomic():
        told, book = tell(), rows_of_all()
        transaction.set_rollback(True)
    return told, book


def test_the_book_laid_back_is_the_one_told(operator, tell, asked):
    empty = rows_of_all()
    (bin, lot), first = taken_back(lambda: tell(operator, 10))
    assert rows_of_all() == empty != first
    again, second = taken_back(lambda: tell(operator, 10))
    assert (asked, again, second) == ([10], (bin, lot), first)


def test_a_book_laid_back_stands_up_to_its_checks(operator, lead):
    taken_back(lambda: make_story(operator, lead))
    make_story(operator, lead)
    with one_moment():
        assert first_fault() is None
    assert Posting.objects.count() > 5


def test_every_test_has_rows_of_its_own(operator, tell):
    (bin, _lot), _book = taken_back(lambda: tell(operator, 10))
    bin.name = "changed"
    (again, _lot), _book = taken_back(lambda: tell(operator, 10))
    assert (again.pk, again.name == bin.name) == (bin.pk, False)


def test_another_argument_or_another_book_is_told_anew(operator, tell, asked):
    taken_back(lambda: tell(operator, 10))
    taken_back(lambda: tell(operator, 11))
    BinFactory()
    taken_back(lambda: tell(operator, 10))
    assert asked == [10, 11, 10]


def test_another_day_is_told_anew(operator, tell, asked, monkeypatch):
    taken_back(lambda: tell(operator, 10))
    monkeypatch.setattr(kept_books.timezone, "localdate", lambda: date(2026, 3, 2))
    taken_back(lambda: tell(operator, 10))
    assert asked == [10, 10]


def test_what_deletes_rows_is_not_kept(operator):
    bin = BinFactory()
    with pytest.raises(AssertionError, match="inventory_bin were deleted"):
        kept(bin.delete)()
