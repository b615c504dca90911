"""Currencies against ISO 4217 as other programs have it, and rounding against exact fractions."""

import json
from decimal import ROUND_HALF_EVEN, Decimal
from fractions import Fraction
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.calculations.currencies import (
    CODES,
    THOUSANDTHS,
    WHOLE_ONLY,
    minor_digits,
    money,
    rounded,
)

ISO_CODES = Path("/usr/share/iso-codes/json/iso_4217.json")  # of many Linux systems
AMOUNTS = st.fractions(min_value=-(10**9), max_value=10**9, max_denominator=10**6)


def test_minor_units_are_those_of_the_standard():
    """ISO 4217, table A.1, from memory; the list of its maintenance agency has them too."""
    known = {"EUR": 2, "INR": 2, "JPY": 0, "KRW": 0, "VND": 0, "XOF": 0, "KWD": 3, "TND": 3}
    assert {code: minor_digits(code) for code in known} == known
    assert WHOLE_ONLY | THOUSANDTHS <= CODES


@pytest.mark.skipif(not ISO_CODES.exists(), reason="no list of ISO 4217 on this machine")
def test_every_code_is_in_the_standard():
    rows = json.loads(ISO_CODES.read_text())["4217"]
    assert {row["alpha_3"] for row in rows} > CODES


@given(AMOUNTS, st.integers(0, 4))
def test_rounding_is_that_of_decimal_arithmetic(amount, digits):
    scaled = Decimal(amount.numerator * 10**30 // amount.denominator).scaleb(-30)
    exact = amount.denominator in {1, 2, 4, 5, 8, 10}  # else 30 digits may tip a tie
    near = rounded(amount, digits)
    assert abs(Fraction(near) - amount) <= Fraction(1, 2 * 10**digits)
    if exact:
        step = Decimal(1).scaleb(-digits)
        assert near == scaled.quantize(step, rounding=ROUND_HALF_EVEN)


@given(AMOUNTS)
def test_what_is_told_as_at_least_is_never_above_the_truth(amount):
    least = Fraction(money(amount, "EUR", is_least=True))
    assert least <= amount < least + Fraction(1, 100)
