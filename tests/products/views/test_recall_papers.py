"""The table of a recall takes no more memory for more rows, and is no formula to a spreadsheet."""

import csv
import tracemalloc
from uuid import uuid4

import pytest
from django.utils import timezone

from inventory.actions.lots import lift_hold
from inventory.calculations.codes import ALPHABET, LENGTH
from inventory.models import Colour, Hold, Lot, Polymer, Recall
from products.views.recall_papers import recall_csv
from tests.factories.inventory import make_act, make_delivery

pytestmark = pytest.mark.django_db
BATCH = 50
FEW, MANY = 2 * BATCH, 20 * BATCH
SLACK = 2.5  # with all rows at once it is nine times


def code_of(number: int) -> str:
    digits = ""
    for _ in range(LENGTH):
        number, digit = divmod(number, len(ALPHABET))
        digits = ALPHABET[digit] + digits
    return digits


def recall_of(by, first: int, count: int) -> Recall:
    """A recall that stopped so many lots, as rows."""
    now = timezone.now()
    same = {"polymer": Polymer.objects.get(symbol="PP"), "colour": Colour.objects.first()}
    lots = Lot.objects.bulk_create(
        Lot(kind="fill", form="flake", code=code_of(number), opened_at=now, **same)
        for number in range(first, first + count)
    )
    facts = {"reason": "smells of petrol", "placed_at": now, "placed_by": by}
    holds = Hold.objects.bulk_create(Hold(lot=lot, placed_role="lead", **facts) for lot in lots)
    recall = Recall.objects.create(
        uuid=uuid4(),
        role="lead",
        reason="smells of petrol",
        happened_at=now,
        recorded_at=now,
        by=by,
        least_permille=0,
    )
    recall.holds.through.objects.bulk_create(
        recall.holds.through(recall=recall, hold=hold) for hold in holds
    )
    return recall


def written(recall) -> tuple[int, int]:
    """How many lines the table has, and the most bytes it took while it was written."""
    tracemalloc.start()
    lines = sum(1 for _line in recall_csv(recall))
    most = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    return lines, most


def test_ten_times_the_rows_take_no_more_memory(lead, monkeypatch):
    monkeypatch.setattr("products.queries.recalls.BATCH", BATCH)
    few, many = recall_of(lead, 0, FEW), recall_of(lead, FEW, MANY)
    written(few)  # what is made once and kept is none of it
    lines, bytes_for_few = written(few)
    assert lines == FEW + 1
    lines, bytes_for_many = written(many)
    assert lines == MANY + 1
    assert bytes_for_many < SLACK * bytes_for_few


def test_what_somebody_typed_is_no_formula(lead):
    lot = make_delivery(lead, polymer=None, identified_by="unknown").lot
    recall = recall_of(lead, 0, 1)
    recall.holds.set([lot.holds.get()])
    lift_hold(hold=lot.holds.get(), act=make_act(lead, "=1+1"))
    _heading, row = csv.reader(recall_csv(recall))
    assert row[-1] == "'=1+1"
