"""Whether the book is whole, over the API."""

import pytest

from inventory.queries import verdicts
from tests.factories.book import run
from tests.factories.inventory import KG, make_delivery

pytestmark = pytest.mark.django_db

ADDRESS = "/api/verification/"


def test_a_whole_book_answers_with_its_figures(api_client, operator):
    make_delivery(operator)
    told = api_client.get(ADDRESS).json()
    assert (told["ok"], told["fault"], told["rows"]) == (True, None, [])
    assert told["figures"]["received_mg"] == told["figures"]["held_mg"] == 10 * KG
    assert {"counters", "bindings", "spoken for"} < set(told["checks"])


@pytest.mark.parametrize(
    ("column", "value", "kind"),
    [("assembled_at", "opened_at", "bindings"), ("spoken_for_mg", "7", "spoken for")],
)
def test_a_fault_is_named_with_its_rows(api_client, operator, column, value, kind):
    lot = make_delivery(operator).lot
    run(f"UPDATE inventory_lot SET {column} = {value}")  # noqa: S608
    told = api_client.get(ADDRESS).json()
    assert (told["ok"], told["fault"], len(told["rows"])) == (False, kind, 1)
    assert told["rows"][0].startswith(f"lot {lot.code}: ")


def test_a_large_book_is_refused(api_client, operator, monkeypatch):
    make_delivery(operator)
    monkeypatch.setattr(verdicts, "MOST_TRANSFERS", 0)
    answer = api_client.get(ADDRESS)
    assert (answer.status_code, answer.json()["code"]) == (422, "too-large")
