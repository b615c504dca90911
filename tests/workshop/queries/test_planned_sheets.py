"""What runs are to cut: claims while they are open, less what they loaded."""

import pytest

from inventory.actions.postings import reverse_posting
from products.actions.parts import hand_over_part
from products.queries.sheet_stocks import free_of, sheets_alike, stock_groups, stock_of
from products.queries.spoken_sheets import Claim, all_spoken_for, claims, claims_on, free_pieces
from tests.factories.cutting import cut_run, make_boards
from tests.factories.inventory import make_act
from tests.factories.workshop import load, make_run
from tests.kept import kept
from workshop.actions.runs import abandon_run
from workshop.queries.planned_sheets import (
    SheetToCut,
    claims_of_others,
    counted_parts,
    sheets_to_cut,
)

pytestmark = pytest.mark.django_db


@pytest.fixture
@kept
def boards(operator):
    return make_boards(operator)


def alike(board):
    return sheets_alike(polymer=board.lot.polymer.symbol, thickness_mm=board.design.thickness_mm)


def test_an_open_run_claims_its_sheets_until_it_loads_them(operator, boards):
    run = cut_run(operator, boards[0])
    assert claims() == {boards[0].pk: [Claim(run.number, run.get_absolute_url(), 1)]}
    assert all_spoken_for(claims()) == [boards[0].pk]
    loaded = load(run, boards[0].lot, operator)
    assert claims() == {}
    assert sheets_to_cut(run) == [SheetToCut(boards[0], 1, 1)]
    reverse_posting(posting=loaded.posting, act=make_act(operator, "wrong sheet"))
    assert [claim.pieces for claim in claims_on(boards[0])] == [1]
    assert sheets_to_cut(run)[0].still == 1


def test_what_another_run_loads_does_not_count_for_it(operator, boards):
    run = cut_run(operator, boards[0])
    load(make_run(operator, "cut"), boards[0].lot, operator)
    assert sheets_to_cut(run)[0].still == 1


def test_a_sheet_that_is_gone_is_said_and_no_more_claimed(operator, boards):
    run = cut_run(operator, *boards)
    other = make_run(operator, "cut")
    taken = load(other, boards[0].lot, operator)
    hand_over_part(part=boards[1], act=make_act(operator), is_confirmed=True)
    said = [f"taken by {other.number}", "handed over"]
    assert [sheet.gone for sheet in sheets_to_cut(run)] == said
    assert claims() == {}
    reverse_posting(posting=taken.posting, act=make_act(operator, "wrong run"))
    assert [sheet.gone for sheet in sheets_to_cut(run)] == ["", "handed over"]
    assert list(claims()) == [boards[0].pk]


def test_an_ended_run_claims_nothing_but_keeps_its_sheets(operator, boards):
    run = cut_run(operator, *boards)
    abandon_run(run=run, act=make_act(operator, "blade broke"))
    assert claims() == {}
    assert [sheet.still for sheet in sheets_to_cut(run)] == [1, 1]


def test_a_cut_plan_is_not_offered_what_a_run_is_to_cut(operator, boards):
    assert (alike(boards[0]), stock_groups()[0].sheets) == (boards, 2)
    cut_run(operator, boards[0])
    assert (alike(boards[0]), stock_groups()[0].sheets) == ([boards[1]], 1)
    cut_run(operator, boards[1])
    assert (alike(boards[0]), stock_groups()) == ([], [])


def test_of_a_bag_the_rest_is_offered(operator):
    (bag,) = make_boards(operator, 1)
    bag.pieces = 3
    bag.save()
    run = cut_run(operator, (bag, 2))
    assert (alike(bag), free_pieces(bag, claims())) == ([bag], 1)
    assert [each.count for each in stock_of(alike(bag), free_of(alike(bag)))] == [1]
    assert claims_of_others(claims(), run) == {}
    assert claims_of_others(claims(), make_run(operator, "cut")) == claims()


def test_claims_are_few_queries_however_many(operator, django_assert_num_queries):
    for board in make_boards(operator, 4):
        cut_run(operator, board)
    with django_assert_num_queries(4):
        assert len(all_spoken_for(claims())) == 4


def test_codes_are_counted_as_they_are_typed(operator, boards):
    code = boards[0].code
    typed = f" {code[:4]}-{code[4:8]} {code[8:]}, {code.lower()},,{boards[1].code}, nonsense"
    assert counted_parts(typed) == ([(boards[0], 2), (boards[1], 1)], ["nonsense"])
    assert counted_parts("") == ([], [])
