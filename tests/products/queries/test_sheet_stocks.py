"""Sheets in stock as cut plans take them."""

from decimal import Decimal

import pytest

from inventory.actions.lots import hold_lot
from products.actions.parts import hand_over_part
from products.calculations.cut_plans import Stock
from products.models import Part
from products.queries.sheet_stocks import (
    free_of,
    sheets_alike,
    sheets_called,
    stock_groups,
    stock_of,
    taken_read,
    taken_written,
)
from tests.factories.cutting import cut_run
from tests.factories.inventory import KG, make_act, make_full_bin
from tests.factories.workshop import DesignFactory, load, make_part, make_run

pytestmark = pytest.mark.django_db
SIZE = {"length_um": 1_000_000, "width_um": 500_000}


@pytest.fixture
def lot(operator):
    return make_full_bin(operator, net_mg=90 * KG, bin_fields={"capacity_mg": 100 * KG})[1]


@pytest.fixture
def board(db):
    return DesignFactory(name="Board", thickness_mm=10, **SIZE)


def alike(lot, **more):
    asked = {"polymer": lot.polymer.symbol, "thickness_mm": Decimal(10)} | more
    return sheets_alike(**asked)


def piece(by, lot, design):
    """A sheet with a size of its own, as a cut run keeps it."""
    part = make_part(by, lot, KG, design)
    Part.objects.filter(pk=part.pk).update(length_um=500_000, width_um=400_000)
    return Part.objects.get(pk=part.pk)


def test_pieces_come_first_then_the_oldest(operator, lot, board):
    old, new = (make_part(operator, lot, 4 * KG, board) for _number in range(2))
    kept = piece(operator, lot, board)
    assert alike(lot) == [kept, old, new]
    assert stock_of(alike(lot), {}) == (
        Stock(500_000, 400_000, 1, is_piece=True, codes=(kept.code,)),
        Stock(1_000_000, 500_000, 2, codes=(old.code, new.code)),
    )


def test_only_sheets_that_could_be_cut_are_taken(operator, lot, board):
    held, away, begun, good = (make_part(operator, lot, 4 * KG, board) for _number in range(4))
    hold_lot(lot=held.lot, act=make_act(operator, "cracked"))
    hand_over_part(part=away, act=make_act(operator))
    load(make_run(operator, "granulate"), begun.lot, operator)
    make_part(operator, lot, KG, DesignFactory(thickness_mm=10))  # nobody said its size
    make_part(operator, lot, KG, DesignFactory(**SIZE))  # nor how thick
    make_part(operator, lot, KG, DesignFactory(thickness_mm=8, **SIZE))
    make_part(operator, lot, KG, DesignFactory(thickness_mm=10, form="profile"))
    assert alike(lot) == [good]
    assert alike(lot, polymer="PS") == []
    assert (alike(lot, colour=lot.colour.name), alike(lot, colour="no such")) == ([good], [])


def test_a_bag_counts_what_is_left_in_it(operator, lot):
    bag = make_part(
        operator, lot, 4 * KG, DesignFactory(tracked="bag", thickness_mm=10, **SIZE), pieces=4
    )
    load(make_run(operator, "granulate"), bag.lot, operator, pieces=1)
    (stock,) = stock_of(alike(lot), {})
    assert (stock.count, stock.codes) == (3, (bag.code,) * 3)


def test_groups_count_sheets_and_pieces(operator, lot, board):
    make_part(operator, lot, 4 * KG, board)
    piece(operator, lot, board)
    (group,) = stock_groups()
    assert (group.sheets, group.pieces, group.thickness) == (1, 1, "10")
    assert f"polymer={lot.polymer.symbol}" in group.query


def test_sheets_named_are_found_though_they_are_gone(operator, lot, board):
    first, second = (make_part(operator, lot, 4 * KG, board) for _number in range(2))
    load(make_run(operator, "granulate"), first.lot, operator)
    found = sheets_called([second.code, first.code, "NOTHING"])
    assert found == [second, first]
    assert stock_of(found, {})[0].codes == (second.code, first.code)


def test_each_asks_once_and_once_more_for_what_is_spoken_for(
    operator, lot, board, django_assert_num_queries
):
    for _number in range(3):
        make_part(operator, lot, 4 * KG, board)
    with django_assert_num_queries(2):
        stock_of(alike(lot), {})
    with django_assert_num_queries(2):
        stock_groups()


def test_an_address_keeps_how_many_of_a_bag_an_answer_had(operator, lot):
    bag = make_part(
        operator, lot, 4 * KG, DesignFactory(tracked="bag", thickness_mm=10, **SIZE), pieces=4
    )
    cut_run(operator, (bag, 3))
    shown = stock_of(alike(lot), free_of(alike(lot)))
    written = taken_written(shown)
    assert written == f"{bag.code}*1"
    cut_run(operator, (bag, 1))
    taken = taken_read(written)
    assert stock_of(sheets_called(taken), taken) == shown


def test_an_address_of_before_takes_all_that_is_left(operator, lot, board):
    sheet = make_part(operator, lot, 4 * KG, board)
    taken = taken_read(sheet.code)
    assert taken == {sheet.code: None}
    assert stock_of(sheets_called(taken), taken)[0].codes == (sheet.code,)


@pytest.mark.parametrize(
    ("text", "pieces"), [("A*0", 0), ("A*999", 100), ("A*-1", None), ("A*²", None), ("A**2", None)]
)
def test_a_number_of_pieces_is_one_or_is_left_out(text, pieces):
    assert taken_read(text) == {"A": pieces}
