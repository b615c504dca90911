"""What a cut plan consists of and its figures."""

from dataclasses import replace
from fractions import Fraction

import pytest

from products.calculations.cut_plans import (
    ACROSS,
    Box,
    Cut,
    CutPlan,
    CutPlanError,
    Part,
    Placed,
    Question,
    Saw,
    SawnSheet,
    Stock,
    check_question,
    figures,
    least_sheets,
    made,
    mm,
    um,
    usable,
)

SHEET = Stock(um(2400), um(1000), 2)
ASKED = Question((SHEET,), (Part("side", um(500), um(300), 3),), Saw(um(3.2), um(10)))


@pytest.mark.parametrize(
    ("changes", "code"),
    [
        ({"parts": ()}, "no-parts"),
        ({"stock": ()}, "no-sheet"),
        ({"parts": (Part("side", 10, 10, 201),)}, "too-many-parts"),
        ({"stock": (Stock(100, 100, 101),)}, "too-many-sheets"),
        ({"saw": Saw(0, um(500))}, "margin-too-wide"),
    ],
)
def test_what_is_empty_or_too_large_is_refused(changes, code):
    with pytest.raises(CutPlanError) as refused:
        check_question(replace(ASKED, **changes))
    assert refused.value.code == code


def test_a_piece_has_no_margin_and_a_sheet_has():
    assert usable(replace(SHEET, is_piece=True), ASKED.saw).area_um2 == SHEET.area_um2
    assert usable(SHEET, ASKED.saw) == Box(um(10), um(10), um(2380), um(980))


@pytest.mark.parametrize(("typed", "kept"), [(3.2, 3200), ("0.001", 1), (2440, 2_440_000)])
def test_millimetres_are_whole_micrometres(typed, kept):
    assert um(typed) == kept
    assert float(mm(kept)) == float(typed)


@pytest.mark.parametrize(
    ("length", "width", "kept"),
    [(300, 100, True), (100, 300, True), (299, 100, False), (99, 2000, False)],
)
def test_an_offcut_is_worth_keeping_either_way_round(length, width, kept):
    """300 x 100 mm is common practice, and an input."""
    assert ASKED.is_worth_keeping(Box(0, 0, um(length), um(width))) is kept


def test_the_dust_of_a_cut_is_density_times_its_volume():
    """A cut of 2.4 m, 3.2 mm wide through 10 mm of PE-HD of 0.955 g/cm3 makes 73.3 g of dust.

    Source: m = rho L w t, worked out by hand: 0.955 * 240 * 0.32 * 1.0 g.
    """
    whole = Box(0, 0, um(1000), um(2400))
    low, high = Box(0, 0, um(500), um(2400)), Box(um(503.2), 0, um(496.8), um(2400))
    cut = Cut(whole, ACROSS, um(500), um(503.2), low, high)
    part = Part("half", um(500), um(2400))
    stock = Stock(um(1000), um(2400))
    sheet = SawnSheet(stock, (Placed(part, low, is_turned=False),), (cut,), (high,), ())
    found = figures(CutPlan(ASKED, (sheet,), ()), um(10), "0.955")
    assert found.dust_mg == 73_344
    assert found.sheets_mg == 22_920_000  # 100 * 240 * 1 cm3 * 0.955 g/cm3
    assert found.sheets_mg == found.parts_mg + found.kept_mg + found.dust_mg + found.scrap_mg
    assert found.yielded == Fraction(1, 2)
    assert made(sheet) == [(part, 1)]
    assert (cut.at_um, cut.length_um) == (um(500), um(2400))


def test_the_area_bound_counts_the_largest_sheets_first():
    asked = replace(ASKED, stock=(Stock(100, 100, 2), Stock(200, 100, 1, is_piece=True)))
    parts = (Part("half", 100, 100, 3),)
    assert least_sheets(replace(asked, parts=parts, saw=Saw(0))) == 2
