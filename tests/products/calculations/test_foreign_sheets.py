"""What cannot be true of process sheets in a file, told at its place."""

import json

import pytest
from hypothesis import given
from hypothesis import strategies as st

from products.calculations.design_files import faults_in
from products.calculations.foreign_sheets import (
    LONGEST_S,
    MACHINE_KINDS,
    may_be_time,
    misplaced_in,
    unit_of,
)
from products.calculations.quantities import QUANTITIES
from products.models import MAKES_PARTS

MELT = {"name": "melt", "value": "230"}


def document(*settings, kind="injection", made_by="inject"):
    sheet = {"polymer": "PP", "machine": {"kind": kind}, "settings": list(settings)}
    return {"made_by": made_by, "process_sheets": [sheet]}


def places(sent):
    prefix = "/process_sheets/0/"
    return [(each.pointer.removeprefix(prefix), each.sentence.code) for each in misplaced_in(sent)]


def test_every_operation_that_makes_a_design_has_its_machines():
    assert set(MACHINE_KINDS) == set(MAKES_PARTS)


def test_what_a_workshop_would_tell_has_no_fault():
    spread = MELT | {"unit": "°C", "low": "228", "high": "232.5", "runs": 4}
    words = {"name": "dwell before opening", "value": "3", "unit": "turns"}
    cycle = {"name": "cycle", "value": "65", "unit": "s"}
    assert misplaced_in(document(spread, cycle, words)) == []
    assert misplaced_in({"made_by": "press"}) == []


@pytest.mark.parametrize(
    ("setting", "place", "code"),
    [
        ({"name": "platen"}, "settings/0/name", "file-setting"),
        ({"name": " "}, "settings/0/name", "file-setting"),
        ({"value": "501"}, "settings/0/value", "file-figure"),
        ({"value": "-274"}, "settings/0/value", "file-figure"),
        ({"low": "-300"}, "settings/0/low", "file-figure"),
        ({"name": "cycle", "value": "0"}, "settings/0/value", "file-figure"),
        ({"name": "step-cool", "value": "100001"}, "settings/0/value", "file-figure"),
        ({"name": "dwell", "value": "1000000"}, "settings/0/value", "file-figure"),
        ({"unit": "°F"}, "settings/0/unit", "file-other-unit"),
        ({"name": "cycle", "unit": "min"}, "settings/0/unit", "file-other-unit"),
        ({"low": "231"}, "settings/0/value", "file-order"),
        ({"low": "220", "high": "229"}, "settings/0/value", "file-order"),
    ],
)
def test_what_cannot_be_true_is_told_at_its_place(setting, place, code):
    assert places(document(MELT | setting)) == [(place, code)]


def test_a_machine_that_makes_no_such_design_is_told():
    assert places(document(kind="press")) == [("machine/kind", "file-machine")]


def test_a_setting_stands_in_a_sheet_once():
    again = {"name": " melt ", "value": "231"}
    assert places(document(MELT, again)) == [("settings/1/name", "file-twice")]


@pytest.mark.parametrize("seconds", [0, -1, LONGEST_S + 1])
def test_no_cycle_takes_no_time_or_days(seconds):
    assert not may_be_time(seconds)
    assert may_be_time(LONGEST_S)


@pytest.mark.parametrize("name", QUANTITIES)
def test_a_quantity_has_the_unit_it_is_read_in(name):
    assert unit_of(name) == QUANTITIES[name].unit


LEAST = {"format": "design-3", "name": "Hook", "nominal_mass_mg": 1}
JSON = st.recursive(
    st.none() | st.booleans() | st.integers() | st.text() | st.sampled_from(["melt", "1", "1e9"]),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(), inner, max_size=3),
)
SETTINGS = st.dictionaries(
    st.sampled_from(["name", "value", "unit", "low", "high", "runs", "is_chosen"]), JSON
)


@given(st.lists(SETTINGS | JSON, max_size=3), st.sampled_from(sorted(MACHINE_KINDS)))
def test_whatever_comes_is_judged_and_its_places_can_be_shown(settings, made_by):
    sent = LEAST | document(*settings, kind=MACHINE_KINDS[made_by][0], made_by=made_by)
    for fault in faults_in(sent) or misplaced_in(sent):
        assert fault.pointer.startswith("/process_sheets/0/settings")
        json.dumps(fault.pointer).encode()
