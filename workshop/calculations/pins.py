"""What makes a PIN weak: what a bystander would try first (common practice)."""

import re

FEWEST_DIGITS, MOST_DIGITS = 4, 6
KEYPAD_LINES = ("2580", "0852", "1470", "3690", "1379", "1397", "1739")
YEARS = range(1900, 2100)


def weakness(pin: str, name: str = "") -> str:
    """Return why a PIN is refused, or an empty string.

    `not-a-pin` is no 4 to 6 digits; `same-digits`, `in-a-row`, `repeated`, `keypad-line`, `year`
    and `in-the-name` are guessed first.

    >>> weakness("1234"), weakness("7777"), weakness("2938")
    ('in-a-row', 'same-digits', '')
    """
    if not re.fullmatch(rf"[0-9]{{{FEWEST_DIGITS},{MOST_DIGITS}}}", pin):
        return "not-a-pin"
    if len(set(pin)) == 1:
        return "same-digits"
    reasons = {
        "in-a-row": is_in_a_row(pin),
        "repeated": is_repeated(pin),
        "keypad-line": pin in KEYPAD_LINES,
        "year": len(pin) == FEWEST_DIGITS and int(pin) in YEARS,
        "in-the-name": pin in name,
    }
    return next((reason for reason, is_so in reasons.items() if is_so), "")


def is_in_a_row(pin: str) -> bool:
    """Return whether the digits count up or down, also past nine: 1234, 6543, 8901."""
    steps = {(int(right) - int(left)) % 10 for left, right in zip(pin, pin[1:], strict=False)}
    return steps in ({1}, {9})


def is_repeated(pin: str) -> bool:
    """Return whether a shorter piece is said again: 1212, 454545, 123123, or doubled: 1122."""
    pieces = any(pin == pin[:size] * (len(pin) // size) for size in range(1, len(pin) // 2 + 1))
    doubled = len(pin) % 2 == 0 and pin[::2] == pin[1::2]
    return pieces or doubled
