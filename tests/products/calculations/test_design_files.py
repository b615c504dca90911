"""The file of a design: its schema, and what breaks it."""

import json

import pytest
from hypothesis import given
from hypothesis import strategies as st
from jsonschema import Draft202012Validator

from inventory.models import Form
from products.actions.assemblies import MOST_COUNT, MOST_ITEMS, MOST_JOINTS
from products.calculations.design_files import FORMAT, MOST_FAULTS, SCHEMA, SCHEMAS, faults_in
from products.forms.designs import MOST_LETTERS
from products.models import MAKES_PARTS, Bought, Design, JointKind, Quantity, Use, Work

LEAST = {"format": FORMAT, "name": "Tile", "made_by": "press", "nominal_mass_mg": 1_000_000}
FIELDS = SCHEMA["properties"]
LINE = FIELDS["items"]["items"]["properties"]
JOINT = FIELDS["joints"]["items"]["properties"]


def pointers(document):
    return [fault.pointer for fault in faults_in(document)]


# The metaschema of JSON Schema 2020-12, as the library jsonschema carries it.
@pytest.mark.parametrize("schema", SCHEMAS.values(), ids=SCHEMAS)
def test_the_schema_is_a_schema(schema):
    Draft202012Validator.check_schema(schema)


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
        ({"format": "design-9"}, "/format"),
        ({"format": ["design-1"]}, "/format"),
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


SHEET = LEAST | {"form": "sheet"}


@pytest.mark.parametrize(
    ("size", "pointer"),
    [
        ({"length": "600"}, "/size_mm/width"),
        ({"length": "0", "width": "400"}, "/size_mm/length"),
        ({"length": "0.000", "width": "400"}, "/size_mm/length"),
        ({"length": "600", "width": "10000.001"}, "/size_mm/width"),
        ({"length": "600", "width": "-1"}, "/size_mm/width"),
        ({"length": "600", "width": "0.0001"}, "/size_mm/width"),
        ({"length": "600", "width": "NaN"}, "/size_mm/width"),
        ({"length": 600, "width": "400"}, "/size_mm/length"),
        ({"length": "600", "width": "400", "depth": "1"}, "/size_mm/depth"),
        ([600, 400], "/size_mm"),
    ],
)
def test_a_size_that_is_none_is_told_at_its_place(size, pointer):
    assert pointers(SHEET | {"size_mm": size}) == [pointer]


def test_only_a_sheet_has_a_size_and_only_in_the_second_version():
    size = {"size_mm": {"length": "600", "width": "400"}}
    assert pointers(SHEET | size) == []
    assert pointers(LEAST | size) == ["/size_mm"]
    assert pointers(LEAST | {"form": "profile"} | size) == ["/size_mm"]
    assert pointers(SHEET | {"format": "design-1"} | size) == ["/size_mm"]


def test_the_first_version_is_read_as_it_was():
    """Nothing that version 1 knew was taken out of version 2."""
    first = SCHEMAS["design-1"]["properties"]
    assert {name: FIELDS[name] for name in first if name != "format"} == {
        name: schema for name, schema in first.items() if name != "format"
    }
    assert FIELDS.keys() - first.keys() == {"size_mm", "process_sheets"}
    assert pointers(LEAST | {"format": "design-1"}) == []


def test_the_second_version_is_read_as_it_was():
    second, third = SCHEMAS["design-2"], SCHEMAS["design-3"]
    assert FIELDS.keys() - second["properties"].keys() == {"process_sheets"}
    for name in ("if", "else", "required"):
        assert second[name] == third[name]
    assert pointers(LEAST | {"format": "design-2"}) == []


def told(**changes):
    setting = {"name": "platen", "value": "190"} | changes.pop("setting", {})
    sheet = {"polymer": "PP", "machine": {"kind": "press"}, "settings": [setting]}
    return {"process_sheets": [sheet | changes]}


@pytest.mark.parametrize("version", ["design-1", "design-2"])
def test_only_the_third_version_has_process_sheets(version):
    assert pointers(LEAST | told()) == []
    assert pointers(LEAST | told() | {"format": version}) == ["/process_sheets"]


@pytest.mark.parametrize(
    ("wrong", "place"),
    [
        ({"polymer": ""}, "polymer"),
        ({"polymer": None}, "polymer"),
        ({"machine": {}}, "machine/kind"),
        ({"machine": {"kind": "lathe"}}, "machine/kind"),
        ({"machine": {"kind": "press", "name": "Press 2"}}, "machine/name"),
        ({"machine": {"kind": "press", "force_kn": 250}}, "machine/force_kn"),
        ({"machine": {"kind": "press", "force_kn": "-1"}}, "machine/force_kn"),
        ({"machine": {"kind": "press", "shot_cm3": "1e3"}}, "machine/shot_cm3"),
        ({"runs": -1}, "runs"),
        ({"runs": True}, "runs"),
        ({"is_second_hand": "no"}, "is_second_hand"),
        ({"settings": {}}, "settings"),
        ({"settings": [{"name": "x", "value": "1"}] * 41}, "settings"),
        ({"setting": {"value": 190}}, "settings/0/value"),
        ({"setting": {"value": "NaN"}}, "settings/0/value"),
        ({"setting": {"value": "12345678"}}, "settings/0/value"),
        ({"setting": {"name": "a\nb"}}, "settings/0/name"),
        ({"setting": {"name": "x" * 61}}, "settings/0/name"),
        ({"setting": {"unit": "\ud800"}}, "settings/0/unit"),
        ({"setting": {"low": 3}}, "settings/0/low"),
        ({"setting": {"by": "somebody"}}, "settings/0/by"),
    ],
)
def test_a_fault_of_a_process_sheet_is_told_at_its_place(wrong, place):
    assert f"/process_sheets/0/{place}" in pointers(LEAST | told(**wrong))


def test_there_are_no_more_sheets_than_a_file_may_have():
    assert pointers(LEAST | {"process_sheets": told()["process_sheets"] * 13}) == [
        "/process_sheets"
    ]


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
