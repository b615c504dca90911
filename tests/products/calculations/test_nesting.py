"""The search: verified answers, several sheets, and small cases against exhaustive search."""

from itertools import product

import pytest

from products.calculations.cut_plans import CutPlanError, Stock
from products.calculations.nesting import MOST_NESTED_SHEETS, nest
from products.calculations.nestings import Shape, faults_of
from products.calculations.outlines import Outline, rectangle
from tests.factories.nestings import HOOK, SHEETS, found, question


def test_a_found_plan_has_every_part_and_no_fault():
    plan = found()
    assert faults_of(plan) == []
    assert plan.missing == ()
    boards = [each for sheet in plan.sheets for each in sheet.placed if each.shape == 2]
    assert {each.angle_deg for each in boards} == {0}


def test_what_one_sheet_does_not_take_goes_to_the_next_and_pieces_come_first():
    piece = Stock(210_000, 210_000, 1, is_piece=True, codes=("A",))
    stock = (Stock(220_000, 220_000, 2, codes=("B", "C")), piece)
    plan = nest(question(Shape("square", rectangle(150_000, 150_000), 4), stock=stock), 1)
    assert [sheet.code for sheet in plan.sheets] == ["A", "B", "C"]
    assert plan.missing == ((0, 1),)


def test_what_fits_nowhere_is_missing_and_breaks_nothing_off():
    long = Shape("long", rectangle(700_000, 20_000), 2)
    plan = nest(question(long, Shape("hook", HOOK, 1)), 1)
    assert plan.missing == ((0, 2),)
    assert [len(sheet.placed) for sheet in plan.sheets] == [1]


@pytest.mark.parametrize(("turn", "missing"), [("quarter", ()), ("free", ()), ("none", ((0, 1),))])
def test_a_part_that_fits_only_turned_is_turned_if_it_may(turn, missing):
    tall = Shape("tall", rectangle(100_000, 500_000), 1, turn)
    assert nest(question(tall), 1).missing == missing


def test_never_more_sheets_than_are_searched():
    stock = (Stock(120_000, 120_000, 40),)
    plan = nest(question(Shape("square", rectangle(90_000, 90_000), 12), stock=stock), 1)
    assert len(plan.sheets) == MOST_NESTED_SHEETS
    assert plan.missing == ((0, 2),)


def test_a_search_that_breaks_off_is_a_refusal(monkeypatch):
    monkeypatch.setattr("products.calculations.nesting._fits", lambda *_arguments: True)
    with pytest.raises(CutPlanError) as refusal:
        nest(question(Shape("a", rectangle(100_000, 900_000), 2), stock=SHEETS), 1)
    assert refusal.value.code == "not-nested"


def test_an_answer_that_is_wrong_is_not_given(monkeypatch):
    monkeypatch.setattr("products.calculations.nesting.faults_of", lambda _nested: ["overlap"])
    with pytest.raises(CutPlanError) as refusal:
        nest(question(Shape("hook", HOOK, 1)), 1)
    assert refusal.value.code == "not-verified"


def best_by_trying(room: tuple[int, int], left: list[tuple[int, int]], taken=()) -> int:
    """The most area that rectangles as drawn cover on a grid, by trying every place of every subset."""
    best = 0
    for at, (length, width) in enumerate(left):
        for x, y in product(range(room[0] - length + 1), range(room[1] - width + 1)):
            right, top = x + length, y + width
            if all(x >= r or right <= a or y >= t or top <= b for a, b, r, t in taken):
                more = best_by_trying(room, left[at + 1 :], (*taken, (x, y, right, top)))
                best = max(best, length * width + more)
    return best


@pytest.mark.parametrize(
    ("room", "sizes"),
    [
        ((4, 3), [(2, 3), (2, 1), (2, 2)]),
        ((3, 3), [(2, 1), (1, 2), (2, 1), (1, 2), (1, 1)]),
        ((4, 2), [(3, 2), (2, 2), (2, 2)]),
        ((3, 2), [(2, 2), (2, 1), (2, 1)]),
    ],
)
def test_small_cases_are_as_good_as_exhaustive_search(room, sizes):
    """Cells of 50 mm with 4 mm to spare a part, so that what the grid takes, the sheet takes with ease."""
    cell = 50_000
    shapes = [
        Shape(str(at), rectangle(length * cell - 4000, width * cell - 4000))
        for at, (length, width) in enumerate(sizes)
    ]
    stock = (Stock(room[0] * cell, room[1] * cell),)
    plan = nest(question(*shapes, stock=stock, kerf_um=0, margin_um=0), 3)
    placed = [sizes[each.shape] for sheet in plan.sheets for each in sheet.placed]
    assert sum(length * width for length, width in placed) == best_by_trying(room, sizes)


def test_two_triangles_share_the_square_around_one():
    half = Outline(((0, 0), (200_000, 0), (0, 200_000)))
    stock = (Stock(215_000, 215_000),)
    plan = nest(question(Shape("half", half, 2, "half"), stock=stock, margin_um=0), 3)
    assert plan.missing == ()
