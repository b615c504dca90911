"""Plans for the panel saw, judged by another library's geometry and by trying everything."""

from fractions import Fraction
from functools import cache

from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import STRtree, box, union_all

from products.calculations.cut_plans import (
    ACROSS,
    Part,
    Question,
    Saw,
    Stock,
    figures,
    least_sheets,
    um,
)
from products.calculations.guillotine import plan_guillotine

QUICK = 400
NOISE_UM = 1e-6  # of a distance as floating-point numbers tell it


def polygon(of):
    return box(of.x_um, of.y_um, of.right_um, of.top_um)


sizes = st.integers(20, 900).map(um)
parts = st.lists(
    st.builds(Part, st.just("part"), sizes, sizes, st.integers(1, 4), st.booleans()),
    min_size=1,
    max_size=6,
).map(tuple)
stocks = st.lists(
    st.builds(
        Stock,
        st.integers(300, 1500).map(um),
        st.integers(300, 1000).map(um),
        st.integers(1, 3),
        st.booleans(),
    ),
    min_size=1,
    max_size=3,
).map(tuple)
saws = st.builds(Saw, st.integers(0, 8).map(um), st.integers(0, 30).map(um))
questions = st.builds(Question, stocks, parts, saws)


@settings(max_examples=40, deadline=None)
@given(questions)
def test_parts_lie_inside_less_the_margin_and_a_kerf_apart(asked):
    for sheet in plan_guillotine(asked, QUICK).sheets:
        margin = 0 if sheet.stock.is_piece else asked.saw.margin_um
        room = box(margin, margin, sheet.stock.length_um - margin, sheet.stock.width_um - margin)
        shapes = [polygon(each.box) for each in sheet.placed]
        assert all(room.covers(each) for each in shapes)
        tree = STRtree(shapes)
        for number, shape in enumerate(shapes):
            for other in tree.query(shape.buffer(asked.saw.kerf_um)):
                if other != number:
                    assert shape.distance(shapes[other]) >= asked.saw.kerf_um - NOISE_UM
                    assert shape.intersection(shapes[other]).area == 0


@settings(max_examples=40, deadline=None)
@given(questions)
def test_every_part_is_there_once_in_a_direction_that_it_allows(asked):
    plan = plan_guillotine(asked, QUICK)
    placed = [each for sheet in plan.sheets for each in sheet.placed]
    missing = sum(count for _part, count in plan.missing)
    assert len(placed) + missing == sum(part.count for part in asked.parts)
    for each in placed:
        size = (each.box.length_um, each.box.width_um)
        wanted = (each.part.length_um, each.part.width_um)
        assert size == (wanted[::-1] if each.is_turned else wanted)
        assert each.part.may_turn or not each.is_turned


@settings(max_examples=40, deadline=None)
@given(questions)
def test_sawing_the_cuts_in_order_gives_the_parts_and_nothing_is_lost(asked):
    """Each cut goes through a piece that is there, from edge to edge, by no more than the kerf."""
    for sheet in plan_guillotine(asked, QUICK).sheets:
        whole = box(0, 0, sheet.stock.length_um, sheet.stock.width_um)
        pieces = {polygon(cut.piece) for cut in sheet.cuts[:1]} or {whole}
        assert pieces == {whole}
        for cut in sheet.cuts:
            piece = polygon(cut.piece)
            pieces.remove(piece)
            blade = blade_of(cut)
            assert 0 < cut.end_um - cut.start_um <= asked.saw.kerf_um or asked.saw.kerf_um == 0
            sides = [polygon(side) for side in (cut.low, cut.high) if side]
            assert union_all([blade, *sides]).equals(piece)
            assert blade.area + sum(side.area for side in sides) == piece.area
            pieces |= set(sides)
        told = [each.box for each in sheet.placed] + [*sheet.kept, *sheet.scrap]
        assert pieces == {polygon(each) for each in told}


def blade_of(cut):
    piece = cut.piece
    if cut.axis == ACROSS:
        return box(cut.start_um, piece.y_um, cut.end_um, piece.top_um)
    return box(piece.x_um, cut.start_um, piece.right_um, cut.end_um)


@settings(max_examples=30, deadline=None)
@given(questions, st.sampled_from(["0.905", "0.955", "1.05"]))
def test_the_masses_sum_up_to_the_sheets(asked, density):
    found = figures(plan_guillotine(asked, QUICK), um(12), density)
    rest = found.parts_mg + found.kept_mg + found.scrap_mg + found.dust_mg
    assert abs(found.sheets_mg - rest) <= 2
    assert 0 <= found.yielded <= 1


@settings(max_examples=20, deadline=None)
@given(questions)
def test_no_plan_is_below_the_area_bound_and_none_takes_more_than_there_is(asked):
    plan = plan_guillotine(asked, QUICK)
    if not plan.missing:
        assert len(plan.sheets) >= least_sheets(asked)
    for stock in asked.stock:
        taken = [each for each in plan.sheets if kind(each.stock) == kind(stock)]
        assert len(taken) <= sum(each.count for each in asked.stock if kind(each) == kind(stock))


def kind(stock):
    return (stock.length_um, stock.width_um, stock.is_piece)


@settings(max_examples=10, deadline=None)
@given(questions)
def test_the_same_question_has_the_same_answer(asked):
    reckoned = plan_guillotine.__wrapped__  # not the remembered answer
    assert reckoned(asked, QUICK) == reckoned(asked, QUICK)


def test_pieces_are_taken_before_a_whole_sheet():
    asked = Question(
        (Stock(um(2000), um(1000), 5), Stock(um(620), um(320), 1, is_piece=True)),
        (Part("side", um(600), um(300)),),
        Saw(um(3)),
    )
    assert [each.stock.is_piece for each in plan_guillotine(asked, QUICK).sheets] == [True]


def test_a_part_that_may_not_turn_and_fits_only_turned_is_missing():
    stock = (Stock(um(1000), um(500)),)
    for may_turn in (False, True):
        part = Part("long", um(400), um(900), 1, may_turn)
        plan = plan_guillotine(Question(stock, (part,), Saw(0)))
        assert (plan.missing == ()) is may_turn


def test_the_kerf_counts_between_parts_and_not_at_the_edge():
    """Three of 332 mm and two kerfs of 2 mm are 1000 mm; with 2.1 mm they are more."""
    part = Part("strip", um(332), um(500), 3)
    for kerf, sheets in ((2, 1), (2.1, 2)):
        asked = Question((Stock(um(1000), um(500), 9),), (part,), Saw(um(kerf)))
        assert len(plan_guillotine(asked, QUICK).sheets) == sheets


def test_a_full_sheet_of_equal_parts_reaches_the_area_bound():
    asked = Question((Stock(1200, 600, 9),), (Part("tile", 200, 100, 72, True),), Saw(0))
    plan = plan_guillotine(asked, QUICK)
    assert len(plan.sheets) == least_sheets(asked) == 2
    assert figures(plan, 1000, 1).yielded == Fraction(1)


SIDES = (2, 3, 4, 5, 6)


@cache
def can_be_sawn(length, width, wanted):
    """Try every guillotine cut: whether all of `wanted` (sorted sizes) come out of a piece.

    No kerf; a cut stands at a whole unit, which loses nothing for whole sizes.
    """
    if not wanted:
        return True
    if sum(a * b for a, b in wanted) > length * width:
        return False
    if len(wanted) == 1:
        return wanted[0][0] <= length and wanted[0][1] <= width
    for chosen in range(1, 2 ** (len(wanted) - 1)):
        low = tuple(each for at, each in enumerate(wanted) if chosen >> at & 1)
        high = tuple(each for at, each in enumerate(wanted) if not chosen >> at & 1)
        for one, two in ((low, high), (high, low)):
            if any(
                can_be_sawn(at, width, one) and can_be_sawn(length - at, width, two)
                for at in range(1, length)
            ) or any(
                can_be_sawn(length, at, one) and can_be_sawn(length, width - at, two)
                for at in range(1, width)
            ):
                return True
    return False


def test_on_small_sheets_it_finds_nearly_all_that_trying_everything_finds():
    """Five parts onto 10 x 8: what cannot be sawn is never planned, and little that can is missed."""
    can, found = 0, 0
    for seed in range(60):
        wanted = tuple(
            sorted(
                (SIDES[seed * (at + 3) % 5], SIDES[(seed // 5 + at * at) % 5]) for at in range(5)
            )
        )
        asked = Question((Stock(10, 8, 9),), tuple(Part("x", *each) for each in wanted), Saw(0))
        is_one = len(plan_guillotine(asked, 8_000).sheets) == 1
        possible = can_be_sawn(10, 8, wanted)
        assert possible or not is_one
        can += possible
        found += is_one
    assert can > 20
    assert found >= 0.95 * can
