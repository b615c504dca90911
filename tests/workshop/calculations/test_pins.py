"""PINs that a bystander guesses first are weak."""

import pytest

from workshop.calculations.pins import weakness


@pytest.mark.parametrize("pin", ["2938", "40718", "190573", "9083", "112358"])
def test_lets_others_pass(pin):
    assert weakness(pin, "mina") == ""


@pytest.mark.parametrize(
    "pin", ["", "123", "1234567", "12a4", " 2938", "2938\n", "-293", "٢٩٣٨", "²938"]
)
def test_a_pin_is_four_to_six_digits_of_ascii(pin):
    assert weakness(pin) == "not-a-pin"


@pytest.mark.parametrize(
    ("pin", "why"),
    [
        ("0000", "same-digits"),
        ("777777", "same-digits"),
        ("1234", "in-a-row"),
        ("654321", "in-a-row"),
        ("8901", "in-a-row"),
        ("2109", "in-a-row"),
        ("1212", "repeated"),
        ("123123", "repeated"),
        ("1122", "repeated"),
        ("2580", "keypad-line"),
        ("1984", "year"),
        ("2026", "year"),
    ],
)
def test_says_why_a_pin_is_weak(pin, why):
    assert weakness(pin) == why


def test_a_pin_may_not_stand_in_the_name():
    assert weakness("4071", "mina4071") == "in-the-name"
