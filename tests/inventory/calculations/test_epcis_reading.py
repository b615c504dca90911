"""Reading what others send: bounded, and never failing whatever comes. Pointers are those of RFC 6901."""

import json
from datetime import timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.calculations.epcis_reading import (
    LONGEST_TEXT,
    MOST_BYTES,
    MOST_DEPTH,
    MOST_EVENTS,
    Unreadable,
    bounds,
    own_terms,
    parsed,
    pointer_part,
    read,
)
from tests.factories.epcis import OTHER, blend, document, event

JUNK = st.recursive(
    st.none() | st.booleans() | st.floats() | st.integers() | st.text(max_size=8),
    lambda inner: (
        st.lists(inner, max_size=4) | st.dictionaries(st.text(max_size=12), inner, max_size=4)
    ),
    max_leaves=12,
)
KEYS = st.sampled_from(
    [
        *("type", "eventID", "eventTime", "eventTimeZoneOffset", "action", "transformationID"),
        *("epcList", "quantityList", "inputQuantityList", "outputQuantityList", "childEPCs"),
        *("errorDeclaration", "ilmd", "ws:partMass", "ws:melted"),
    ]
)


@pytest.mark.parametrize(
    ("text", "rule"),
    [
        ("", "no-json"),
        ("{", "no-json"),
        (b"\xff\xfe", "no-json"),
        ('{"a": NaN}', "no-json"),
        ('{"a": 1, "a": 2}', "key-twice"),
        ("[" * 200_000, "too-deep"),
        ("1" * 5_000, "no-json"),
        ("x" * (MOST_BYTES + 1), "too-long"),
    ],
)
def test_what_is_no_json_is_named(text, rule):
    with pytest.raises(Unreadable) as caught:
        parsed(text)
    assert caught.value.finding.rule == rule


def nested(depth: int):
    return json.loads("[" * depth + "]" * depth)


@pytest.mark.parametrize(
    ("value", "rule", "pointer"),
    [
        (nested(MOST_DEPTH + 2), "too-deep", "/0" * (MOST_DEPTH + 1)),
        ({"a/b": "x" * (LONGEST_TEXT + 1)}, "long-text", "/a~1b"),
        ({"a": ["\x00"]}, "text", "/a/0"),
        ({"a": "\ud800"}, "text", "/a"),
        ([1e400], "number", "/0"),
        ([10**4000], "number", "/0"),
        ([0] * 500_000, "too-many", ""),
    ],
)
def test_what_is_too_much_is_named_with_its_place(value, rule, pointer):
    (finding,) = bounds(value)
    assert (finding.rule, finding.pointer) == (rule, pointer)


def test_a_sound_document_is_within_bounds():
    assert bounds(blend()) == []


def test_pointers_escape_what_separates_their_parts():
    """RFC 6901, section 4."""
    assert pointer_part("m~n/o") == "m~0n~1o"


def test_events_are_read_with_their_masses_in_mg():
    events = read(blend()).events
    assert [(each.id, each.mass_mg) for each in events[2].given] == [
        (f"{OTHER}/class/D1", 6_000_000),
        (f"{OTHER}/class/D2", 2_000_000),
    ]
    assert events[0].ilmd["originClass"] == "post-consumer"
    assert events[0].at.utcoffset() == timedelta()


def test_parts_have_their_mass_from_our_own_term():
    masses = [{"ws:epc": f"{OTHER}/obj/P1", "ws:milligrams": 1_350_000}]
    made = event(1, "Transformation", outputEPCList=[f"{OTHER}/obj/P1"], **{"ws:partMass": masses})
    (one,) = read(document(made)).events
    assert one.taken[0].mass_mg == 1_350_000


def test_terms_of_a_strange_vocabulary_are_not_taken_for_ours():
    strange = document(event(1, "Object", action="OBSERVE", ilmd={"ex:polymer": "PP"}))
    strange["@context"][1]["ex"] = "https://elsewhere.example/terms/"
    assert read(strange).events[0].ilmd == {}
    assert own_terms({"ws:polymer": "PP", "polymer": "PE"}, strange) == {"polymer": "PP"}


def test_too_many_events_are_not_read():
    huge = document()
    huge["epcisBody"]["eventList"] = [{}] * (MOST_EVENTS + 1)
    found = read(huge)
    assert (found.events, found.findings[0].rule) == ((), "too-many")


@pytest.mark.parametrize("value", [None, [], 3, {}, {"type": "EPCISQueryDocument"}])
def test_what_is_no_document_is_said_to_be_none(value):
    assert read(value).findings[0].rule == "document-type"


@given(st.lists(st.dictionaries(KEYS, JUNK, max_size=8) | JUNK, max_size=3))
def test_reading_never_fails(rows):
    found = read(document() | {"epcisBody": {"eventList": rows}})
    assert len(found.events) == sum(isinstance(row, dict) for row in rows)
