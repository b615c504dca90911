"""What a part holds, what it lacks, and in what it is."""

import pytest

from inventory.actions.lots import hold_lot
from inventory.calculations.codes import group_code
from inventory.queries.recalls import whereabouts
from inventory.queries.traces import origins_of
from products.actions.fixings import put_in
from products.actions.parts import hand_over_part
from products.queries.fixings import (
    holders_above,
    holding_of,
    parts_inside,
    parts_that_fit,
    products_of,
)
from products.queries.parts import part_list
from products.queries.recalls import held_rows, rows_of
from tests.factories.fixings import bag_of, clip_design, made, stool_design
from tests.factories.inventory import make_act
from tests.factories.workshop import make_run
from tests.kept import kept
from workshop.queries.charges import fitting_parts

pytestmark = pytest.mark.django_db


@pytest.fixture
@kept
def clip(lead):
    return clip_design()


@pytest.fixture
@kept
def stool(lead, clip, operator):
    return made(operator, stool_design(lead, clip))


def test_a_bag_counts_with_its_pieces(stool, clip, operator):
    put_in(holder=stool, part=bag_of(operator, clip, 2), act=make_act(operator))
    (slot,) = holding_of(stool).slots
    assert (slot.held, slot.missing) == (2, 1)


def test_bought_things_are_no_lines_for_parts(stool):
    assert [slot.item.name for slot in holding_of(stool).slots] == ["Clip"]


def test_levels_are_followed_up_and_down(stool, clip, operator):
    design = clip_design("Bench")
    design.items.create(line=1, count=1, component=stool.design)
    bench, part = made(operator, design), made(operator, clip)
    put_in(holder=stool, part=part, act=make_act(operator))
    put_in(holder=bench, part=stool, act=make_act(operator))
    assert parts_inside(bench) == [stool, part]
    assert holders_above(part) == [stool, bench]


def test_what_fits_is_here_loose_and_not_on_hold(stool, clip, operator):
    fits, fixed, held = (made(operator, clip) for _ in range(3))
    put_in(holder=stool, part=fixed, act=make_act(operator))
    hold_lot(lot=held.lot, act=make_act(operator, "brittle"))
    assert parts_that_fit(holding_of(stool)) == [fits]


def test_the_list_says_in_what_a_part_is(stool, clip, operator):
    part = made(operator, clip)
    put_in(holder=stool, part=part, act=make_act(operator))
    row = part_list().get(pk=part.pk)
    assert (row.state, row.held_in) == ("in-product", stool.code)
    assert part_list().get(pk=stool.pk).held_in is None


def test_neither_is_offered_to_a_granulating_run_while_they_are_together(stool, clip, operator):
    part, alone = made(operator, clip), made(operator, clip)
    put_in(holder=stool, part=part, act=make_act(operator))
    assert fitting_parts(make_run(operator, "granulate"), None) == [alone]


def test_the_product_of_a_part_is_the_outermost_it_is_in(stool, clip, operator):
    design = clip_design("Bench")
    design.items.create(line=1, count=1, component=stool.design)
    bench, part, loose = made(operator, design), made(operator, clip), made(operator, clip)
    put_in(holder=stool, part=part, act=make_act(operator))
    put_in(holder=bench, part=stool, act=make_act(operator))
    rows = part_list().filter(pk__in=[part.pk, loose.pk, bench.pk])
    assert products_of(rows) == {part.pk: bench}


def test_a_recall_names_the_product_that_a_part_is_in_and_whether_it_is_in_use(
    stool, clip, operator, lead
):
    part = made(operator, clip)
    put_in(holder=stool, part=part, act=make_act(operator))
    delivery = origins_of(part.lot)[0].lot
    place = f"in Stool {group_code(stool.code)}"
    places = {row.part: row.place for row in rows_of(whereabouts([delivery])) if row.part}
    assert places[part] == place
    hand_over_part(part=stool, act=make_act(operator))
    places = {row.part: row.place for row in rows_of(whereabouts([delivery])) if row.part}
    assert places[part] == f"in use, {place}"
    (row,) = held_rows([hold_lot(lot=part.lot, act=make_act(operator, "brittle"))])
    assert row.name.endswith(f", in use, {place}")
