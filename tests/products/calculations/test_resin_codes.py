"""Resin and packaging codes: ASTM D7611 (scope read), 97/129/EC and answers of a consortium."""

import json
from pathlib import Path

import pytest

from products.calculations.polymers import POLYMERS
from products.calculations.resin_codes import (
    ResinCode,
    check_pair,
    composite_code,
    label_warnings,
    packaging_code,
    resin_code,
    which_codes,
)

REFERENCE = Path(__file__).parents[3] / "fixtures" / "reference_materials.json"
KNOWN = json.loads(REFERENCE.read_text())["polymers"]


@pytest.mark.parametrize("polymer", KNOWN, ids=lambda polymer: polymer["symbol"])
def test_codes_agree_with_the_reference_materials(polymer):
    symbol = polymer["symbol"]
    assert resin_code(symbol) == ResinCode(polymer["resin_code"], polymer["resin_text"])
    assert packaging_code(symbol) == ResinCode(polymer["packaging_code"], polymer["packaging_text"])


@pytest.mark.parametrize("polymer", KNOWN, ids=lambda polymer: polymer["symbol"])
def test_the_codes_of_a_reference_polymer_are_valid_pairs(polymer):
    resin, packaging = resin_code(polymer["symbol"]), packaging_code(polymer["symbol"])
    assert "ASTM D7611" in check_pair(resin.number, resin.text).systems
    assert "97/129/EC" in check_pair(packaging.number, packaging.text).systems


def test_glycol_modified_pet_is_never_one():
    """ASTM D7611-20 asks code 1 for a melting peak, which PET-G has not (standards-body article)."""
    assert resin_code("PET-G").number == 7
    assert packaging_code("PET-G").number == 7
    assert not check_pair(1, "PET-G").valid


@pytest.mark.parametrize("symbol", sorted(POLYMERS.keys() - {"PET", "PP", "PS", "PVC"}))
def test_what_is_not_one_to_six_is_seven_other(symbol):
    assert resin_code(symbol) == ResinCode(7, "OTHER")


@pytest.mark.parametrize("symbol", ["PC+ABS", "PE-HD+PP", "PP-MD30", ""])
def test_blends_and_filled_polymers_are_seven_other(symbol):
    assert resin_code(symbol) == ResinCode(7, "OTHER")


@pytest.mark.parametrize(
    ("number", "text"),
    [
        (7, "PA"),  # consortium answers: 7 with the symbol of ISO 1043-1
        (2, "HDPE"),  # 97/129/EC, annex I
        (2, "PE-HD"),  # ASTM D7611
        (6, "PS"),  # foam too (consortium answers)
        (1, "PETE"),
        (1, "PET"),
        (3, "V"),
        (7, "OTHER"),
        (7, "PC+ABS"),
        (7, "PET-G"),
        (21, "PAP"),
        (41, "ALU"),
        (None, "C/PAP"),  # 97/129/EC, annex VII
        (84, "C/PAP"),
        (90, "C/LDPE"),
    ],
)
def test_valid_pairs(number, text):
    assert check_pair(number, text).valid


@pytest.mark.parametrize(
    ("number", "text", "reason"),
    [
        (4, "HDPE", "4 is LDPE"),
        (7, "PET", "no number of its own"),
        (7, "HDPE", "no number of its own"),
        (7, "PVC-U", "no number of its own"),
        (7, "abs", "no number of its own"),
        (7, "PC+XYZ", "no number of its own"),
        (0, "PET", "given to nothing"),  # ASTM D7611: 1 to 7 only
        (8, "ABS", "given to nothing"),
        (9, "ABS", "given to nothing"),
        (None, "PP", "given to nothing"),
        (21, "ALU", "21 is PAP"),
        (5, "C/PAP", "numbered 80 to 98"),
        (84, "C/", "numbered 80 to 98"),
    ],
)
def test_invalid_pairs_say_why(number, text, reason):
    check = check_pair(number, text)
    assert (check.valid, check.systems) == (False, ())
    assert reason in check.reason


@pytest.mark.parametrize(
    ("masses", "code"),
    [
        ({"PAP": 20, "PE-LD": 5, "ALU": 1}, ResinCode(84, "C/PAP")),
        ({"PE-LD": 20, "ALU": 1}, ResinCode(90, "C/LDPE")),
        ({"PE-LD": 6, "PE-LLD": 6, "PAP": 10}, ResinCode(81, "C/LDPE")),
        ({"PAP": 5, "ALU": 5}, ResinCode(82, "C/ALU")),
        ({"FE": 5, "ALU": 4}, ResinCode(None, "C/FE")),
    ],
)
def test_a_composite_is_named_after_its_main_material_by_mass(masses, code):
    assert composite_code(masses) == code


@pytest.mark.parametrize("masses", [{}, {"PAP": 1}, {"PE-LD": 1, "PP": 2}])
def test_one_kind_of_material_is_no_composite(masses):
    with pytest.raises(ValueError, match="at least two"):
        composite_code(masses)


def test_a_product_is_offered_its_mark_first():
    first, *others = which_codes(is_packaging=False)
    assert (first.marking, first.use) == ("ISO 11469", "first")
    assert [(each.marking, each.use) for each in others] == [
        ("ASTM D7611", "optional"),
        ("97/129/EC", "not-for-this"),
    ]


def test_packaging_is_offered_the_packaging_code_first():
    first, *others = which_codes(is_packaging=True)
    assert (first.marking, first.use) == ("97/129/EC", "first")
    assert {each.use for each in others} == {"optional"}


@pytest.mark.parametrize(
    ("mass_g", "surface_mm2", "words"),
    [
        (25, None, "not below"),  # encyclopaedia page on plastics symbols: from 25 g or 200 mm2
        (24.9, None, "by its mass this is below, but its surface is not known"),
        (None, 200, "not below"),
        (None, 199, "by its surface this is below, but its mass is not known"),
        (24.9, 199, "this is below, mark it"),
        (5, 200, "not below"),
        (None, None, "asks for it from 25 g or 200 mm²."),
    ],
)
def test_the_size_of_a_product_is_weighed_against_green_procurement(mass_g, surface_mm2, words):
    advice = which_codes(is_packaging=False, mass_g=mass_g, surface_mm2=surface_mm2)
    assert words in advice[0].reasons[1]


def test_the_astm_code_is_said_to_be_no_recycling_claim():
    assert "no claim" in which_codes(is_packaging=False)[1].reasons[0]


@pytest.mark.parametrize("text", ["recyclable", "100 % RECYCLABLE", "re-cyclable", "Recyclability"])
def test_recyclable_does_not_stand_beside_the_code(text):
    """ASTM D7611: for identification, "recyclable" must not stand beside it."""
    assert [each.code for each in label_warnings(["HDPE", text])] == ["recyclable"]


@pytest.mark.parametrize("text", ["recycled plastic", "please recycle", "HDPE", ""])
def test_other_words_may_stand_beside_the_code(text):
    assert label_warnings([text]) == ()


def test_chasing_arrows_are_not_for_new_moulds():
    """ASTM D7611: solid triangle since 2013, old moulds may stay."""
    assert [each.code for each in label_warnings([], style="chasing")] == ["chasing-arrows"]
    assert label_warnings([], style="chasing", new_mould=False) == ()
