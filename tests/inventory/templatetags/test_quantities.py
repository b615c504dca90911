"""How masses, shares, codes and marks are written on pages."""

from datetime import UTC, datetime
from fractions import Fraction

import pytest
from django.utils import translation

from inventory.templatetags.quantities import (
    about,
    bulk,
    clock,
    code_groups,
    codes_grouped,
    day,
    exact_mass,
    kg,
    mark,
    mass,
    moment,
    percent,
    percent_to,
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


@pytest.mark.parametrize("write", [mass, exact_mass, kg, bulk])
@pytest.mark.parametrize("missing", [None, ""])
def test_a_missing_mass_is_a_dash(write, missing):
    assert write(missing) == "\u2013"


def test_kg_leaves_out_zeros_at_the_end():
    assert bulk(12_340_000) == f"12.34{NBSP}kg"


def test_kg_with_places_lines_up_in_a_column():
    assert bulk(12_340_000, 3) == f"12.340{NBSP}kg"


@pytest.mark.parametrize(
    ("mass_mg", "written"),
    [
        (1_133_981, "2.5 lb"),
        (1_000_000, "2.205 lb"),
        (340_194, "12 oz"),
        (12, "0.00042 oz"),
        (0, "0 lb"),
        (453_592, "16 oz"),
    ],
)
def test_a_workshop_in_pounds_reads_pounds_and_ounces(settings, mass_mg, written):
    settings.MASS_UNITS = "imperial"
    assert mass(mass_mg) == written.replace(" ", NBSP)


def test_a_column_in_pounds_lines_up(settings):
    settings.MASS_UNITS = "imperial"
    assert bulk(12_340_000, 3) == f"27.205{NBSP}lb"


def test_kg_stay_kg_in_a_workshop_in_pounds(settings):
    settings.MASS_UNITS = "imperial"
    assert kg(12_340_000) == f"12.34{NBSP}kg"


AT = datetime(2026, 3, 4, 17, 5, tzinfo=UTC)


@pytest.mark.parametrize(
    ("language", "written"),
    [
        ("en-gb", ["4 Mar 2026", "4 Mar 2026, 17:05", "17:05"]),
        ("de", ["04.03.2026", "04.03.2026 17:05", "17:05"]),
        ("en-us", ["03/04/2026", "03/04/2026 5:05 p.m.", "5:05 p.m."]),
    ],
)
def test_days_and_times_stand_in_the_formats_of_the_language(language, written):
    """Unicode CLDR 44 writes dd.MM.y in German and M/d/yy, h:mm a in American English (from memory)."""
    with translation.override(language):
        assert [day(AT), moment(AT), clock(AT)] == written


def test_a_missing_moment_is_empty():
    assert moment(None) == ""


def test_shares_have_the_decimal_mark_of_the_language():
    with translation.override("de"):
        assert percent(0.123) == f"12,3{NBSP}%"


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


@pytest.mark.parametrize(
    ("share", "places", "written"),
    [
        (0.00029188, 3, "0.029 %"),
        (-0.00029188, 3, "\u22120.029 %"),
        (-0.0000001, 3, "0.000 %"),
        (0.25, 0, "25 %"),
        (1.5, 1, "150.0 %"),
    ],
)
def test_a_share_of_either_sign_is_written_with_so_many_decimals(share, places, written):
    assert percent_to(share, places) == written.replace(" ", NBSP)


@pytest.mark.parametrize(
    ("mass_mg", "said"),
    [
        (42_962, "43 g"),
        (119_570, "120 g"),
        (255, "255 mg"),
        (999_600, "1 kg"),
        (2_157_895, "2.158 kg"),
    ],
)
def test_an_estimate_has_no_more_figures_than_anybody_weighs(mass_mg, said):
    assert about(mass_mg).replace("\xa0", " ") == said
    assert about(None) == "–"


def test_codes_within_a_text_stay_on_one_line_however_they_stood_there():
    said = "Clip, part CBD5\u00a0JFDM\u00a07B0Q, in use"
    for text in ("Clip, part CBD5JFDM7B0Q, in use", "Clip, part CBD5 JFDM 7B0Q, in use"):
        assert codes_grouped(text) == said
