"""What is spoken for is held against the pieces of open visits; each fault is planted by raw SQL."""

import pytest

from inventory.queries.verification import first_fault
from products.models import Design
from tests.factories.book import run
from tests.factories.visits import drawn_of, make_piece, make_visit, settle, visit_with_pieces
from tests.kept import kept

pytestmark = pytest.mark.django_db


@pytest.fixture
@kept
def visit(operator):
    return visit_with_pieces(operator, 3)[0]


@pytest.fixture
def lot(visit):
    return visit.pieces.first().lot


def fault(lot, kept_mg, taken_mg):
    said = f"lot {lot.code}: {kept_mg} mg are spoken for, "
    return "spoken for", [f"{said}the pieces of open visits took {taken_mg} mg"]


def test_two_visits_at_one_fill_have_no_fault(visit, lot, operator):
    make_piece(make_visit(operator), lot, operator)
    assert first_fault() is None


@pytest.mark.parametrize(("kept", "kept_mg"), [("NULL", 0), ("59999", 59_999), ("60001", 60_001)])
def test_finds_a_fill_that_keeps_another_mass(lot, kept, kept_mg):
    run(f"UPDATE inventory_lot SET spoken_for_mg = {kept} WHERE id = {lot.pk}")  # noqa: S608
    assert first_fault() == fault(lot, kept_mg, 60_000)


def test_finds_a_fill_that_still_keeps_what_was_settled(visit, lot, operator):
    settle(visit, operator, drawn_of(lot, 60_000))
    run(f"UPDATE inventory_lot SET spoken_for_mg = 20000 WHERE id = {lot.pk}")  # noqa: S608
    assert first_fault() == fault(lot, 20_000, 0)


def test_finds_a_piece_that_took_otherwise(lot):
    run("UPDATE workshop_piece SET nominal_mg = nominal_mg + 1")
    assert first_fault() == fault(lot, 60_000, 60_003)


def test_a_design_made_lighter_during_a_visit_is_no_fault(visit, lot, operator):
    Design.objects.filter(pk=visit.design_id).update(nominal_mass_mg=5_000)
    assert first_fault() is None
    make_piece(visit, lot, operator)
    lot.refresh_from_db()
    assert (lot.spoken_for_mg, first_fault()) == (65_000, None)
