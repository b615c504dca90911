"""Sizes of sheets: exact in um, and the mass of a piece by its area."""

import pytest

from products.calculations.sheet_sizes import MOST_UM, Size, mass_by_area_mg, size_fields, size_mm


def test_a_typed_size_is_exact_to_the_micrometre():
    assert size_mm("600.001", 0.1 + 0.2) == Size(600_001, 300)
    assert MOST_UM == 10_000_000


@pytest.mark.parametrize(
    ("size", "fits"),
    [((400, 600), True), ((600, 400), True), ((401, 600), False), ((1, 601), False)],
)
def test_a_piece_comes_out_of_a_sheet_either_way_round(size, fits):
    assert Size(*size).fits_in(Size(600, 400)) is fits


def test_a_piece_weighs_as_its_density_says():
    """m = rho A t with PE-HD of 0.955 g/cm3 (ISO 1183 gives the typical value): 600 x 400 x 10 mm."""
    sheet, piece = Size(600_000, 600_000), Size(600_000, 400_000)
    assert mass_by_area_mg(3_438_000, sheet.area_um2, piece.area_um2) == 2_292_000


def test_no_size_is_written_as_two_empty_fields():
    assert size_fields(None) == {"length_um": None, "width_um": None}
    assert size_fields(Size(2, 1)) == {"length_um": 2, "width_um": 1}
