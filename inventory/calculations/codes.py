"""Codes that name a bin, a lot, a part or a run.

A code is twelve characters of base 32 in Crockford's alphabet: digits and
capitals without I, L, O and U, so that a code read aloud or typed from a
scratched label is not mistaken for another. Twelve characters carry 60 random
bits; a million codes meet a clash with a chance below one in two million
(birthday bound n^2 / 2^61).

Source of the alphabet and of the reading rules: Douglas Crockford, "Base 32".
"""

import re
import secrets

ALPHABET = "0123456789ABCDEFGHJKMNPQRSTVWXYZ"
LENGTH = 12
GROUP = 4

_WHOLE = re.compile(rf"\b[{ALPHABET}]{{{LENGTH}}}\b")
_GROUPS = re.compile(rf"\b[{ALPHABET}]{{{GROUP}}}(?:[ \u00a0-][{ALPHABET}]{{{GROUP}}}){{2}}\b")
_LOOKALIKES = str.maketrans("ILO", "110")
_ADDRESS = re.compile(r"https?://[^/?#\s]+(?:/[^?#\s]*)?/q/([^/?#]+)/?(?:[?#].*)?", re.IGNORECASE)


def new_code() -> str:
    """Return a new random code of twelve characters (60 bits).

    >>> len(new_code())
    12
    """
    return "".join(secrets.choice(ALPHABET) for _ in range(LENGTH))


def grouped_codes(text: str, space: str = " ") -> str:
    """Return a text with every whole code in it in groups of four, as labels write it, with such spaces.

    >>> grouped_codes("bag CBD5JFDM7B0Q"), grouped_codes("run R-0042")
    ('bag CBD5 JFDM 7B0Q', 'run R-0042')
    """
    return _WHOLE.sub(lambda found: group_code(found.group()).replace(" ", space), text)


def joined_codes(text: str) -> str:
    """Return a text with every code that is written in groups as it is kept; the mirror of `grouped_codes`.

    Only capitals count, as printed, for "part" could be a group too.

    >>> joined_codes("part CBD5 JFDM 7B0Q"), joined_codes("bag CBD5JFDM7B0Q"), joined_codes("fell down then")
    ('part CBD5JFDM7B0Q', 'bag CBD5JFDM7B0Q', 'fell down then')
    """
    return _GROUPS.sub(lambda found: re.sub(r"[\s-]", "", found.group()), text)


def normalise_code(text: str) -> str | None:
    """Return the code that was typed or scanned, or None when it is not one.

    Capitals do not matter, spaces and hyphens are dropped, I and L are read
    as 1, O as 0. A web address whose path ends in /q/<code> is accepted too,
    because that is what the square code on a label carries. None is the
    answer to a wrong length and to a letter outside the alphabet (U).

    >>> normalise_code("abcd-efgh jkmo")
    'ABCDEFGHJKM0'
    >>> normalise_code("https://shop.example/q/ABCDEFGHJKMN")
    'ABCDEFGHJKMN'
    >>> normalise_code("ABCDEFGHJKMU") is None
    True
    """
    address = _ADDRESS.fullmatch(text.strip())
    typed = "".join((address[1] if address else text).split()).replace("-", "")
    # Some letters outside ASCII turn into ASCII ones when capitalised.
    if not typed.isascii() or len(typed) != LENGTH:
        return None
    code = typed.upper().translate(_LOOKALIKES)
    return code if set(code) <= set(ALPHABET) else None


def group_code(code: str) -> str:
    """Return the code in groups of four, as it is printed and read aloud.

    >>> group_code("ABCDEFGHJKMN")
    'ABCD EFGH JKMN'
    """
    return " ".join(code[start : start + GROUP] for start in range(0, len(code), GROUP))
