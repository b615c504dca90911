"""The settlement of a visit, as the run that it leaves behind; its rules are told in test_visits."""

import pytest

from tests.factories.visits import drawn_of, settle, visit_with_pieces

pytestmark = pytest.mark.django_db


def test_the_run_of_a_visit_lasts_from_its_start_to_its_settlement(operator):
    visit, lot = visit_with_pieces(operator)
    run = settle(visit, operator, drawn_of(lot, 60_000)).run
    assert (run.state, run.planned_pieces, run.design) == ("closed", 3, visit.design)
    assert run.opened_at == visit.started_at


def test_parts_count_as_made_when_the_last_piece_was_ended(operator):
    visit, lot = visit_with_pieces(operator)
    settle(visit, operator, drawn_of(lot, 60_000))
    last = visit.pieces.last()
    assert last.part.made_at == last.ended_at
