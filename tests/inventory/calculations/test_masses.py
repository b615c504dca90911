from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.calculations.masses import (
    LARGEST_MG,
    MG_PER_UNIT,
    format_mass,
    parse_mass,
    split_mass,
)

NIST_KG_PER_POUND = Fraction(
    "0.45359237"
)  # NIST SP 811 (2008), Appendix B.8, pound (avoirdupois): exact
pounds = st.sampled_from(["lb", "oz"])
REASONS = {"not-a-number", "too-fine", "not-positive", "too-large"}
units = st.sampled_from(["mg", "g", "kg"])  # exact
masses = st.integers(1, LARGEST_MG)
weights = st.lists(
    st.one_of(
        st.integers(0, 10**12),
        st.fractions(0, 1000, max_denominator=10**6),
        st.floats(0, 1e9, allow_subnormal=False),
    ),
    max_size=30,
).filter(any)


@pytest.mark.parametrize(
    ("text", "unit", "mass_mg"),
    [
        ("2.5", "kg", 2_500_000),
        ("2,5", "kg", 2_500_000),
        ("1,234", "kg", 1_234_000),  # a comma is a decimal mark, never a thousands mark
        ("1,500", "kg", 1_500_000),
        ("1 lb 3 oz", "kg", 538_641),
        ("1lb3.5oz", "lb", 552_816),
        ("12 oz", "lb", 340_194),
        ("2.5 lb", "kg", 1_133_981),
        ("2,5", "lb", 1_133_981),
        ("1", "oz", 28_350),
        (",5", "g", 500),
        ("12.", "g", 12_000),
        ("  7 ", "mg", 7),
        ("+7", "mg", 7),
        ("1 234.5", "g", 1_234_500),
        ("1\u2009234\u2009567", "g", 1_234_567_000),  # thin space
        ("1\u202f234", "g", 1_234_000),  # narrow no-break space
        ("2.500000", "kg", 2_500_000),
        ("0.000001", "kg", 1),
        ("2.5 kg", "g", 2_500_000),
        ("250g", "kg", 250_000),
        ("3 KG", "mg", 3_000_000),
        ("40\u00a0mg", "kg", 40),
        ("100000", "kg", LARGEST_MG),
    ],
)
def test_reads_a_typed_mass(text, unit, mass_mg):
    assert parse_mass(text, unit) == mass_mg


@pytest.mark.parametrize(
    ("text", "unit", "reason"),
    [
        ("", "kg", "not-a-number"),
        (".", "kg", "not-a-number"),
        ("kg", "kg", "not-a-number"),
        ("two", "kg", "not-a-number"),
        ("NaN", "kg", "not-a-number"),
        ("Infinity", "kg", "not-a-number"),
        ("1e3", "g", "not-a-number"),
        ("1,234.5", "kg", "not-a-number"),
        ("1.234,5", "kg", "not-a-number"),
        ("1,2,3", "kg", "not-a-number"),
        ("12 5", "kg", "not-a-number"),  # a lost decimal mark, not a group of three
        ("2 lb 16 oz", "kg", "not-a-number"),  # a slip: 16 oz are another pound
        ("1.5 lb 3 oz", "kg", "not-a-number"),
        ("2 lb 3 kg", "kg", "not-a-number"),
        ("2 st", "kg", "not-a-number"),
        ("0.000001", "lb", "too-fine"),
        ("220462.262186", "lb", "too-large"),
        ("2 Mg", "kg", "not-a-number"),  # a megagram is a tonne
        ("\u0661\u0662", "kg", "not-a-number"),  # digits of another script
        ("9" * 41, "mg", "not-a-number"),
        ("0.5", "mg", "too-fine"),
        ("0.0001", "g", "too-fine"),
        ("1.0000000000000000000000000000000000001", "kg", "too-fine"),
        ("0", "kg", "not-positive"),
        ("0.000", "kg", "not-positive"),
        ("-2", "kg", "not-positive"),
        ("\u22122", "kg", "not-positive"),  # minus sign as typeset
        ("100000.000001", "kg", "too-large"),
        ("2", "st", "unknown-unit"),
    ],
)
def test_refuses_with_one_word(text, unit, reason):
    with pytest.raises(ValueError, match=f"^{reason}$") as refusal:
        parse_mass(text, unit)
    assert refusal.value.args[0] == reason


def answer(text, unit):
    try:
        return parse_mass(text, unit)
    except ValueError as refusal:
        return refusal.args[0]


@given(st.text(st.sampled_from("0123456789.,+-eE gkmlboz\u2009\u2212x"), max_size=45), units)
def test_any_text_is_a_mass_or_a_known_reason(text, unit):
    given_back = answer(text, unit)
    assert given_back in REASONS or 1 <= given_back <= LARGEST_MG


@given(masses, st.one_of(st.none(), units), units)
def test_a_written_mass_is_read_back(mass_mg, written_in, read_as):
    assert parse_mass(format_mass(mass_mg, written_in), read_as) == mass_mg


@given(masses, pounds)
def test_a_mass_written_in_pounds_or_ounces_is_read_back_to_the_milligram(mass_mg, written_in):
    assert parse_mass(format_mass(mass_mg, written_in), "kg") == mass_mg


@given(masses, pounds)
def test_no_mass_in_pounds_needs_more_than_six_decimals(mass_mg, written_in):
    assert len(format_mass(mass_mg, written_in).split()[0].partition(".")[2]) <= 6


@given(st.decimals("0.001", 220_000, places=3))
def test_a_mass_typed_in_pounds_is_stored_to_half_a_milligram(pounds_typed):
    exact_mg = Fraction(pounds_typed) * NIST_KG_PER_POUND * 1_000_000
    assert abs(parse_mass(str(pounds_typed), "lb") - exact_mg) <= Fraction(1, 2)


def test_an_ounce_is_a_sixteenth_of_a_pound():
    """NIST SP 811 (2008), Appendix B.8: 1 oz (avoirdupois) = 28.349 523 g to seven digits."""
    assert MG_PER_UNIT["oz"] * 16 == MG_PER_UNIT["lb"] == NIST_KG_PER_POUND * 1_000_000
    assert round(MG_PER_UNIT["oz"] / 1000, 6) == Decimal("28.349523")


def test_what_was_typed_in_ounces_is_shown_as_it_was_typed():
    assert format_mass(parse_mass("12 oz", "lb"), "oz") == "12 oz"


@given(st.integers(-(10**15), 10**15), units)
def test_a_written_mass_is_exact(mass_mg, unit):
    number, written = format_mass(mass_mg, unit).split()
    assert Fraction(number) == Fraction(mass_mg, MG_PER_UNIT[unit])
    assert written == unit


@pytest.mark.parametrize(
    ("mass_mg", "text"),
    [
        (0, "0 mg"),
        (999, "999 mg"),
        (1_000, "1 g"),
        (999_999, "999.999 g"),
        (1_000_000, "1 kg"),
        (1_000_000_000, "1000 kg"),
        (-1_500_000, "-1.5 kg"),
    ],
)
def test_chooses_the_natural_unit(mass_mg, text):
    assert format_mass(mass_mg) == text


@pytest.mark.parametrize(
    ("mass_mg", "digits", "text"),
    [
        (1_234_567, 0, "1 kg"),
        (1_234_567, 3, "1.235 kg"),
        (2_500_000, 0, "2 kg"),
        (3_500_000, 0, "4 kg"),
        (2_500_000, 2, "2.50 kg"),
        (-1_000, 2, "0.00 kg"),
        (10_000_000, 0, "10 kg"),
    ],
)
def test_rounds_only_when_asked(mass_mg, digits, text):
    assert format_mass(mass_mg, "kg", digits=digits) == text


@given(masses, weights)
def test_the_split_sums_to_the_total(total_mg, parts):
    assert sum(split_mass(total_mg, parts)) == total_mg


@given(masses, weights)
def test_no_part_is_off_by_a_milligram(total_mg, parts):
    whole = sum(map(Fraction, parts))
    exact = [total_mg * Fraction(part) / whole for part in parts]
    split = split_mass(total_mg, parts)
    assert max(abs(mass - share) for mass, share in zip(split, exact, strict=True)) < 1


@given(masses, weights)
def test_nothing_goes_to_a_weight_of_zero(total_mg, parts):
    assert split_mass(total_mg, [*parts, 0])[-1] == 0


@given(masses, weights)
def test_no_part_of_a_split_is_negative(total_mg, parts):
    assert min(split_mass(total_mg, parts)) >= 0


@given(masses, weights, st.integers(1, 1000))
def test_only_the_proportions_count(total_mg, parts, factor):
    scaled = [Fraction(part) * factor for part in parts]
    assert split_mass(total_mg, scaled) == split_mass(total_mg, parts)


def test_equal_remainders_go_to_the_earlier():
    assert split_mass(5, [1, 1, 1]) == [2, 2, 1]


def test_follows_the_largest_remainder():
    """Common textbook example of Hamilton's method, from memory: 100,000 votes, 10 seats."""
    votes = [47_000, 16_000, 15_900, 12_000, 6_000, 3_100]
    assert split_mass(10, votes) == [5, 2, 1, 1, 1, 0]


def test_nothing_is_split_into_nothing():
    assert split_mass(0, []) == []
    assert split_mass(0, [0, 0]) == [0, 0]


@pytest.mark.parametrize(
    ("total_mg", "parts", "reason"),
    [
        (-1, [1], "negative"),
        (1, [2, -1], "negative"),
        (1, [], "no-weight"),
        (1, [0, 0.0], "no-weight"),
        (1, [float("nan")], "NaN"),
    ],
)
def test_refuses_to_split_what_nobody_can_carry(total_mg, parts, reason):
    with pytest.raises(ValueError, match=reason):
        split_mass(total_mg, parts)
