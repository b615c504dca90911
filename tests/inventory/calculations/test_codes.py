from string import ascii_uppercase, digits

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.calculations.codes import (
    ALPHABET,
    LENGTH,
    group_code,
    grouped_codes,
    joined_codes,
    new_code,
    normalise_code,
)

codes = st.text(ALPHABET, min_size=LENGTH, max_size=LENGTH)


def test_the_alphabet_is_digits_and_capitals_without_four_letters():
    """Douglas Crockford, "Base 32": I, L, O and U are left out."""
    assert set(ALPHABET) == set(digits + ascii_uppercase) - set("ILOU")
    assert len(ALPHABET) == 32


def test_new_codes_use_the_whole_alphabet_and_differ():
    made = [new_code() for _ in range(2000)]
    assert set("".join(made)) == set(ALPHABET)
    assert len(set(made)) == len(made)


def test_a_new_code_is_its_own_normal_form():
    code = new_code()
    assert normalise_code(code) == code


@given(codes)
def test_a_code_is_read_back_from_its_printed_groups(code):
    assert normalise_code(group_code(code)) == code


@given(codes)
def test_a_code_is_read_from_lower_case_and_hyphens(code):
    assert normalise_code(f" {code[:4]}-{code[4:8]}-{code[8:]} ".lower()) == code


@given(codes, codes)
def test_codes_within_a_text_are_joined_again_as_they_were(first, second):
    text = f"{first} > bag {second}, twice"
    assert joined_codes(grouped_codes(text)) == text


def test_groups_are_four_characters_long():
    assert group_code("0123456789AB") == "0123 4567 89AB"


@pytest.mark.parametrize(
    ("typed", "code"),
    [
        ("OIL0OIL0OIL0", "011001100110"),  # Crockford's reading rules: O is 0, I and L are 1
        ("oil0oil0oil0", "011001100110"),
        ("ABCD EFGH\u00a0JKMN", "ABCDEFGHJKMN"),
        ("https://shop.example/q/ABCDEFGHJKMN", "ABCDEFGHJKMN"),
        ("https://shop.example/q/abcd-efgh-jkmn/", "ABCDEFGHJKMN"),
        ("HTTPS://SHOP.EXAMPLE/Q/ABCDEFGHJKMN", "ABCDEFGHJKMN"),
        ("http://127.0.0.1:8000/under/q/ABCDEFGHJKMN?from=label#top", "ABCDEFGHJKMN"),
    ],
)
def test_reads_what_is_typed_or_scanned(typed, code):
    assert normalise_code(typed) == code


@pytest.mark.parametrize(
    "typed",
    [
        "",
        "ABCDEFGHJKM",
        "ABCDEFGHJKMNP",
        "ABCDEFGHJKMU",
        "ABCDEFGHJKM*",
        "ABCDEFGHJKM\u0131",  # a dotless i turns into I when capitalised
        "ABCDEFGHJK\u00df",  # a sharp s turns into two letters
        "https://shop.example/q/ABCDEFGHJKMN/passport",
        "https://shop.example/x/ABCDEFGHJKMN",
        "https://shop.example/?next=/q/ABCDEFGHJKMN",
        "ftp://shop.example/q/ABCDEFGHJKMN",
    ],
)
def test_knows_what_is_no_code(typed):
    assert normalise_code(typed) is None


@given(st.text())
def test_any_text_gives_a_code_or_nothing(text):
    code = normalise_code(text)
    assert code is None or (len(code) == LENGTH and set(code) <= set(ALPHABET))
