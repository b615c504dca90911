import json
from datetime import UTC, date, datetime, timedelta, timezone
from decimal import Decimal
from enum import IntEnum, StrEnum
from hashlib import sha256
from uuid import UUID

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.calculations.fingerprints import (
    canonical_bytes,
    fingerprint,
    fingerprint_with,
    plain,
    stored_fingerprint,
)

KEY = UUID("12345678-1234-5678-1234-567812345678")
ascii_text = st.text(st.characters(max_codepoint=127))
leaves = st.none() | st.booleans() | st.integers(-(2**53) + 1, 2**53 - 1) | ascii_text
contents = st.recursive(leaves, lambda inner: st.lists(inner) | st.dictionaries(ascii_text, inner))


class Role(StrEnum):
    LOAD = "load"


class Place(IntEnum):
    FIRST = 1


@given(contents)
def test_canonical_json_of_ascii_is_sorted_compact_json(content):
    """Against the standard library: within ASCII, RFC 8785 is sorted JSON without spaces."""
    ours = canonical_bytes(content)
    assert (
        ours
        == json.dumps(content, sort_keys=True, separators=(",", ":"), ensure_ascii=False).encode()
    )


@given(st.dictionaries(ascii_text, leaves, min_size=2))
def test_the_order_of_keys_does_not_matter(content):
    backwards = dict(reversed(content.items()))
    assert fingerprint(backwards) == fingerprint(content)


def test_keys_are_sorted_as_rfc_8785_shows():
    """RFC 8785, section 3.2.3, the sorting example."""
    content = {
        "\u20ac": "Euro Sign",
        "\r": "Carriage Return",
        "\ufb33": "Hebrew Letter Dalet With Dagesh",
        "1": "One",
        "\U0001f600": "Emoji: Grinning Face",
        "\u0080": "Control",
        "\u00f6": "Latin Small Letter O With Diaeresis",
    }
    assert list(json.loads(canonical_bytes(content)).values()) == [
        "Carriage Return",
        "One",
        "Control",
        "Latin Small Letter O With Diaeresis",
        "Euro Sign",
        "Emoji: Grinning Face",
        "Hebrew Letter Dalet With Dagesh",
    ]


def test_a_fingerprint_is_the_sha_256_of_the_canonical_json():
    assert (
        fingerprint({"b": [1, None], "a": True}) == sha256(b'{"a":true,"b":[1,null]}').hexdigest()
    )


def test_another_mass_is_another_fingerprint():
    assert fingerprint({"mass_mg": 1}) != fingerprint({"mass_mg": 2})


def test_the_order_of_a_list_matters():
    assert fingerprint([1, 2]) != fingerprint([2, 1])


@pytest.mark.parametrize(
    ("value", "text"),
    [
        (KEY, "12345678-1234-5678-1234-567812345678"),
        (datetime(2026, 3, 1, 8, 30, tzinfo=UTC), "2026-03-01T08:30:00.000000Z"),
        (
            datetime(2026, 3, 1, 1, 30, 0, 5, tzinfo=timezone(timedelta(hours=2))),
            "2026-02-28T23:30:00.000005Z",
        ),
        (date(2026, 3, 1), "2026-03-01"),
        (Decimal("2.50"), "2.5"),
        (Decimal("1E+3"), "1000"),
        (Decimal("-0.0"), "0"),
        # SHA-256 of "abc": FIPS 180-4, example 1.
        (b"abc", "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"),
        ((1, (2,)), [1, [2]]),
        ({"who": {"key": KEY}}, {"who": {"key": str(KEY)}}),
        (True, True),
        (None, None),
    ],
)
def test_values_are_spelled_in_one_way(value, text):
    assert plain(value) == text


def test_choices_become_plain_text_and_numbers():
    spelled = plain([Role.LOAD, Place.FIRST])
    assert [type(value) for value in spelled] == [str, int]
    assert spelled == ["load", 1]


@given(contents)
def test_plain_content_stays_as_it_is(content):
    assert plain(content) == content


@pytest.mark.parametrize(
    "value",
    [
        1.5,
        datetime(2026, 3, 1, 8, 30),  # noqa: DTZ001 (a time without a zone is what is refused)
        Decimal("NaN"),
        {1: "a"},
        {"a": {2}},
        object(),
    ],
)
def test_refuses_what_has_no_single_spelling(value):
    with pytest.raises(TypeError):
        fingerprint(value)


def test_refuses_a_number_that_json_cannot_carry():
    with pytest.raises(ValueError, match="9007199254740992"):
        fingerprint(2**53)


keys = st.from_regex(r"[a-z_]*", fullmatch=True)
stored = st.recursive(
    st.none() | st.booleans() | st.integers(-(2**53) + 1, 2**53 - 1) | st.text(),
    lambda inner: st.lists(inner) | st.dictionaries(keys, inner),
)


@given(stored)
def test_the_quick_fingerprint_of_stored_content_is_the_same(content):
    assert stored_fingerprint(content) == fingerprint(content)


names = st.text("abcxyz_", min_size=1)


@given(st.dictionaries(names, leaves), names, st.lists(contents))
def test_a_long_list_item_by_item_has_the_fingerprint_of_the_whole(document, name, items):
    assert fingerprint_with(document, name, iter(items)) == fingerprint(document | {name: items})
