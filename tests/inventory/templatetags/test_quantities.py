"""How masses, shares, codes and marks are written on pages."""

from fractions import Fraction

import pytest
from django.utils import translation

from inventory.templatetags.quantities import (
    code_groups,
    exact_mass,
    grams,
    kg,
    mark,
    mass,
    percent,
)

NBSP = "\u00a0"


@pytest.mark.parametrize(
    ("mass_mg", "written"),
    [
        (12_345_000, "12.345 kg"),
        (12_500_000, "12.5 kg"),
        (100_000_000, "100 kg"),
        (350_000, "350 g"),
        (350_125, "350.125 g"),
        (12, "12 mg"),
        (0, "0 kg"),
        (1_234_567_000, "1,234.567 kg"),
    ],
)
def test_mass_is_written_in_the_unit_that_reads_best(mass_mg, written):
    assert mass(mass_mg) == written.replace(" ", NBSP)


def test_mass_from_a_kilogram_on_is_rounded_to_the_gram():
    assert mass(12_345_678) == f"12.346{NBSP}kg"


def test_exact_mass_keeps_every_milligram():
    assert exact_mass(12_345_678) == f"12.345678{NBSP}kg"


def test_a_negative_mass_has_a_true_minus_sign():
    assert mass(-2_500_000) == f"\u22122.5{NBSP}kg"


@pytest.mark.parametrize("write", [mass, exact_mass, kg, grams])
@pytest.mark.parametrize("missing", [None, ""])
def test_a_missing_mass_is_a_dash(write, missing):
    assert write(missing) == "\u2013"


def test_kg_leaves_out_zeros_at_the_end():
    assert kg(12_340_000) == f"12.34{NBSP}kg"


def test_kg_with_places_lines_up_in_a_column():
    assert kg(12_340_000, 3) == f"12.340{NBSP}kg"


def test_grams_are_exact():
    assert grams(1_234_567) == f"1,234.567{NBSP}g"


def test_the_decimal_mark_follows_the_language():
    with translation.override("de"):
        assert mass(1_234_567_000) == f"1.234,567{NBSP}kg"


@pytest.mark.parametrize(
    ("share", "written"),
    [
        (0.123, "12.3 %"),
        (1, "100.0 %"),
        (0, "0.0 %"),
        (0.0004, "< 0.1 %"),
        (0.9999, "> 99.9 %"),
        (Fraction(1, 3), "33.3 %"),
    ],
)
def test_a_share_has_one_decimal_and_never_rounds_to_none_or_all(share, written):
    assert percent(share) == written.replace(" ", NBSP)


def test_shares_that_add_up_to_one_but_for_float_noise_are_all_of_it():
    assert percent(sum([0.1] * 10)) == f"100.0{NBSP}%"


def test_a_missing_share_is_a_dash():
    assert percent(None) == "\u2013"


def test_a_code_is_written_in_groups_that_do_not_break():
    assert code_groups("ABCDEFGHJKMN") == f"ABCD{NBSP}EFGH{NBSP}JKMN"


def test_a_missing_code_is_empty():
    assert code_groups(None) == ""


def test_a_mark_stands_between_the_signs_of_iso_11469():
    assert mark("PE-HD") == ">PE-HD<"


def test_no_polymer_has_no_mark():
    assert mark("") == "\u2013"
