"""The page that says whether the book is whole."""

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils.html import escape

from inventory.queries import verdicts
from inventory.queries.check_words import SENTENCES
from inventory.queries.verification import CHECKS
from tests.factories.book import run
from tests.factories.inventory import make_delivery

pytestmark = pytest.mark.django_db

PAGE = reverse("inventory:verification-detail")


def test_a_whole_book_is_said_to_be_whole(reader, operator):
    make_delivery(operator)
    shown = reader.get(PAGE).content.decode()
    assert "none found a fault" in shown


def test_each_check_is_told_in_a_sentence_of_its_own(reader, operator):
    make_delivery(operator)
    shown = reader.get(PAGE).content.decode()
    assert SENTENCES.keys() == CHECKS.keys()
    assert len(set(map(str, SENTENCES.values()))) == len(CHECKS)
    for kind, sentence in SENTENCES.items():
        row = f'<td>{escape(sentence)}</td><td class="soft" lang="en">{kind}</td>'
        assert row in shown


@pytest.mark.parametrize(
    ("column", "value", "kind"),
    [("assembled_at", "opened_at", "bindings"), ("spoken_for_mg", "7", "spoken for")],
)
def test_a_fault_is_named_with_its_rows(reader, operator, column, value, kind):
    lot = make_delivery(operator).lot
    run(f"UPDATE inventory_lot SET {column} = {value}")  # noqa: S608
    shown = reader.get(PAGE).content.decode()
    assert f"There is a fault in: {kind}." in shown
    assert f"<li>lot {lot.code}: " in shown


def test_a_large_book_is_left_to_the_command(reader, operator, monkeypatch):
    make_delivery(operator)
    monkeypatch.setattr(verdicts, "MOST_TRANSFERS", 0)
    assert "Too large to verify here" in reader.get(PAGE).content.decode()


def test_a_longer_book_costs_no_more_statements(reader, operator, django_assert_num_queries):
    make_delivery(operator)
    with CaptureQueriesContext(connection) as short:
        reader.get(PAGE)
    for _ in range(5):
        make_delivery(operator)
    with django_assert_num_queries(len(short)):
        reader.get(PAGE)
