"""What the database refuses of a sheet that a run was opened for."""

import pytest
from django.db import DatabaseError, transaction

from tests.factories.book import broken
from tests.factories.cutting import cut_run, make_boards
from tests.kept import kept
from workshop.models import PlannedSheet

pytestmark = pytest.mark.django_db


@pytest.fixture
@kept
def row(operator):
    board, _other = make_boards(operator)
    return cut_run(operator, board).planned_sheets.get()


def test_a_run_names_a_sheet_once(row):
    with broken("planned_sheet_once_per_run|append-only: UNIQUE"):  # SQLite: by its trigger
        PlannedSheet.objects.create(run=row.run, part=row.part)


def test_a_row_is_for_some_pieces(row, operator):
    _board, other = make_boards(operator)
    with broken("planned_sheet_has_pieces"):
        PlannedSheet.objects.create(run=row.run, part=other, pieces=0)


def test_it_is_neither_changed_nor_deleted(row):
    rows = PlannedSheet.objects.filter(pk=row.pk)
    for change in (lambda: rows.update(pieces=2), row.delete):
        with pytest.raises(DatabaseError, match="append-only"), transaction.atomic():
            change()
    assert rows.get().pieces == 1
