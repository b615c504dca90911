"""The file of a design: its schema, and what breaks it."""

import json

import pytest
from hypothesis import given
from hypothesis import strategies as st
from jsonschema import Draft202012Validator

from inventory.models import Form
from products.actions.assemblies import MOST_COUNT, MOST_ITEMS, MOST_JOINTS
from products.calculations.design_files import FORMAT, MOST_FAULTS, SCHEMA, faults_in
from products.forms.designs import MOST_LETTERS
from products.models import MAKES_PARTS, Bought, Design, JointKind, Quantity, Use, Work

LEAST = {"format": FORMAT, "name": "Tile", "made_by": "press", "nominal_mass_mg": 1_000_000}
FIELDS = SCHEMA["properties"]
LINE = FIELDS["items"]["items"]["properties"]
JOINT = FIELDS["joints"]["items"]["properties"]


def pointers(document):
    return [fault.pointer for fault in faults_in(document)]


# The metaschema of JSON Schema 2020-12, as the library jsonschema carries it.
def test_the_schema_is_a_schema():
    Draft202012Validator.check_schema(SCHEMA)


def test_the_choices_are_those_of_the_book():
    assert set(FIELDS["form"]["enum"]) == {Form.PART, Form.SHEET, Form.PROFILE}
    assert set(FIELDS["made_by"]["enum"]) == set(MAKES_PARTS)
    assert set(FIELDS["tracked"]["enum"]) == set(Design.Tracking.values)
    assert set(FIELDS["uses"]["items"]["enum"]) == set(Use.values)
    assert set(FIELDS["route"]["items"]["properties"]["work"]["enum"]) == set(Work.values)
    quantities = FIELDS["windows"]["items"]["properties"]["quantity"]["enum"]
    assert set(quantities) == set(Quantity.values)
    assert set(LINE["bought"]["enum"]) == {"", *Bought.values}
    assert set(JOINT["kind"]["enum"]) == set(JointKind.values)


def test_the_limits_are_those_of_the_book():
    assert FIELDS["care"]["maxLength"] == MOST_LETTERS
    assert (FIELDS["items"]["maxItems"], FIELDS["joints"]["maxItems"]) == (MOST_ITEMS, MOST_JOINTS)
    assert LINE["count"]["maximum"] == MOST_COUNT
    assert JOINT["second_line"]["maximum"] == MOST_ITEMS


def test_the_least_file_has_no_fault():
    assert faults_in(LEAST) == []


@pytest.mark.parametrize(
    ("wrong", "pointer"),
    [
        ({"format": "design-2"}, "/format"),
        ({"nominal_mass_mg": "1"}, "/nominal_mass_mg"),
        ({"nominal_mass_mg": 0}, "/nominal_mass_mg"),
        ({"nominal_mass_mg": 1.5}, "/nominal_mass_mg"),
        ({"nominal_mass_mg": True}, "/nominal_mass_mg"),
        ({"nominal_mass_mg": 10**15}, "/nominal_mass_mg"),
        ({"name": ""}, "/name"),
        ({"name": "a\x00b"}, "/name"),
        ({"name": "a\ud800b"}, "/name"),
        ({"name": "a\nb"}, "/name"),
        ({"care": "x" * 301}, "/care"),
        ({"thickness_mm": 8.5}, "/thickness_mm"),
        ({"thickness_mm": "NaN"}, "/thickness_mm"),
        ({"thickness_mm": "1e9"}, "/thickness_mm"),
        ({"made_by": "granulate"}, "/made_by"),
        ({"secret": 1}, "/secret"),
        ({"a/b~": 1}, "/a~1b~0"),
        ({"items": [{"count": 1}, {"counts": 1}]}, "/items/1/count"),
        ({"items": [{"count": 1}] * 13}, "/items"),
        ({"joints": {}}, "/joints"),
        ({"pass_limit": {"times": 0, "most_percent": 5}}, "/pass_limit/times"),
        ({"uses": ["flying"]}, "/uses/0"),
    ],
)
def test_a_fault_is_told_at_its_place(wrong, pointer):
    assert pointer in pointers(LEAST | wrong)


def test_what_is_missing_is_told_each_at_its_place():
    assert pointers({}) == ["/format", "/made_by", "/name", "/nominal_mass_mg"]


def test_faults_are_told_up_to_a_number():
    assert len(faults_in(LEAST | {f"x{number}": 1 for number in range(100)})) == MOST_FAULTS


def test_what_is_nested_without_end_is_refused():
    deep = inner = {}
    for _number in range(5000):
        inner["name"] = {}
        inner = inner["name"]
    assert faults_in(LEAST | {"name": deep})


JSON = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(),
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(st.text(), inner, max_size=4),
)


@given(st.dictionaries(st.sampled_from(sorted(FIELDS)), JSON, max_size=6))
def test_whatever_comes_is_judged_as_the_schema_says(document):
    sent = LEAST | document
    assert bool(faults_in(sent)) is not Draft202012Validator(SCHEMA).is_valid(sent)


@given(JSON)
def test_every_fault_can_be_shown(document):
    for fault in faults_in(document):
        json.dumps(fault.pointer).encode()
        assert fault.pointer.isprintable()
