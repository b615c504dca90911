"""Pieces of sheet that a cut run keeps: what they are cut from and what they should weigh."""

import pytest

from products.calculations.sheet_sizes import Size
from tests.factories.inventory import KG, make_full_bin
from tests.factories.workshop import DesignFactory, load, make_part, make_run
from workshop.queries.kept_pieces import loaded_sheets

pytestmark = pytest.mark.django_db


def make_sheet(by, **size):
    """A pressed sheet of 4 kg; without a size nobody said how large such a sheet is."""
    return make_part(by, make_full_bin(by)[1], 4 * KG, DesignFactory(**size))


def test_sheets_loaded_are_summed_by_design(operator):
    large = make_sheet(operator, name="A", length_um=1_000_000, width_um=500_000)
    unsized = make_sheet(operator, name="B")
    run = make_run(operator, "cut")
    load(run, large.lot, operator)
    load(run, unsized.lot, operator)
    first, second = loaded_sheets(run)
    assert (first.largest, first.mass_mg) == (Size(1_000_000, 500_000), 4 * KG)
    assert first.mass_of_mg(Size(250_000, 500_000)) == KG
    assert (first.takes(Size(500_000, 900_000)), first.takes(Size(600_000, 600_000))) == (
        True,
        False,
    )
    assert (second.largest, second.mass_of_mg(Size(1, 1)), second.takes(Size(9, 9))) == (
        None, None, True,
    )  # fmt: skip


def test_what_was_not_loaded_or_is_no_sheet_is_none(operator):
    run = make_run(operator, "cut")
    assert loaded_sheets(run) == []
    load(run, make_sheet(operator, form="profile").lot, operator)
    assert loaded_sheets(run) == []


def test_it_asks_once(operator, django_assert_num_queries):
    run = make_run(operator, "cut")
    for _number in range(3):
        load(run, make_sheet(operator, length_um=10, width_um=10).lot, operator)
    with django_assert_num_queries(1):
        loaded_sheets(run)
