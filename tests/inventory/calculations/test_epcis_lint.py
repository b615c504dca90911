"""The linter against what the published schema was seen to let through (EPCIS 2.0 JSON schema, tried on it).

The first list is that of standards work on the schema: each case passes the schema and is
nevertheless wrong. The samples that are right were validated with two validators.
"""

from copy import deepcopy

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.calculations.epcis_lint import lint
from tests.factories.epcis import OTHER, blend, came, changed, document, event, event_id, lot
from tests.factories.schemas import faults
from tests.inventory.calculations.test_epcis_reading import JUNK, KEYS

LIST = "/epcisBody/eventList"
FIRST = f"{LIST}/0/quantityList/0"


def with_change(path: str, value) -> dict:
    """Return the blend with a value put at a place, or taken away by None."""
    found = blend()
    *way, last = path.strip("/").split("/")
    inner = found
    for part in way:
        inner = inner[int(part) if isinstance(inner, list) else part]
    if value is None:
        del inner[last]
    else:
        inner[int(last) if isinstance(inner, list) else last] = value
    return found


def declared(**declaration) -> dict:
    """Return the blend with its last event declared wrong."""
    found = blend()
    again = deepcopy(found["epcisBody"]["eventList"][2])
    again["errorDeclaration"] = {"declarationTime": "2026-03-09T08:00:00Z"} | declaration
    found["epcisBody"]["eventList"].append(again)
    return found


LET_THROUGH = {
    "negative": (with_change(f"{FIRST}/quantity", -6), "quantity", f"{FIRST}/quantity"),
    "zero": (with_change(f"{FIRST}/quantity", 0), "quantity", f"{FIRST}/quantity"),
    "unit alone": (with_change(f"{FIRST}/quantity", None), "uom-alone", f"{FIRST}/uom"),
    "invented unit": (with_change(f"{FIRST}/uom", "ZZZ"), "unit", f"{FIRST}/uom"),
    "no id": (with_change(f"{LIST}/1/eventID", None), "event-id-missing", f"{LIST}/1"),
    "id twice": (with_change(f"{LIST}/1/eventID", event_id(1)), "event-id-twice", f"{LIST}/1/eventID"),
    "empty list": (with_change(f"{LIST}/0/epcList", []), "empty-list", f"{LIST}/0/epcList"),
    "did not occur, yet corrected": (
        declared(reason="did_not_occur", correctiveEventIDs=[event_id(9)]),
        "corrective-ids",
        f"{LIST}/3/errorDeclaration/correctiveEventIDs",
    ),
    "undeclared prefix": (with_change(f"{LIST}/2/zz:note", "x"), "prefix", f"{LIST}/2/zz:note"),
    "wrong context": (with_change("/@context/0", "https://a.example/c.jsonld"), "context", "/@context"),
    "any version": (with_change("/schemaVersion", "7.3"), "schema-version", "/schemaVersion"),
    "more out than in": (with_change(f"{LIST}/2/outputQuantityList/0/quantity", 9), "mass-gained", f"{LIST}/2"),
    "less out than in": (with_change(f"{LIST}/2/outputQuantityList/0/quantity", 7), "mass-lost", f"{LIST}/2"),
    "never made": (
        with_change(f"{LIST}/2/inputQuantityList/1/epcClass", f"{OTHER}/class/NONE"),
        "unknown-id",
        f"{LIST}/2/inputQuantityList/1",
    ),
}  # fmt: skip


@pytest.mark.parametrize(("wrong", "rule", "pointer"), LET_THROUGH.values(), ids=LET_THROUGH)
def test_what_the_schema_lets_through_is_found(wrong, rule, pointer):
    assert (pointer, rule) in [finding[:2] for finding in lint(wrong)]


@pytest.mark.parametrize("wrong", [row[0] for row in LET_THROUGH.values()], ids=LET_THROUGH)
def test_the_schema_does_let_it_through(wrong):
    assert faults(wrong) == []


def test_a_sound_document_is_clean_to_both():
    assert (lint(blend()), faults(blend())) == ([], [])


def test_a_declaration_that_mirrors_its_event_is_no_second_one():
    wrong = declared(reason="incorrect_data", correctiveEventIDs=[event_id(9)])
    assert [finding for finding in lint(wrong) if finding.rule != "unknown-id"] == []


def test_a_declaration_that_says_something_else_is_found():
    wrong = declared(reason="did_not_occur")
    wrong["epcisBody"]["eventList"][3]["eventTime"] = "2026-03-08T09:00:00Z"
    assert lint(wrong)[-1][:2] == (f"{LIST}/3/errorDeclaration", "declaration-differs")


def test_what_was_declared_wrong_counts_for_nothing():
    """Half of D1 is taken after all that took the whole of it was declared wrong."""
    found = declared(reason="incorrect_data")
    found["epcisBody"]["eventList"].append(changed(5, {"D1": 3}, {"F2": 3}))
    assert lint(found) == []


def test_a_lot_that_gives_more_than_it_took_is_found():
    found = blend()
    found["epcisBody"]["eventList"].append(changed(5, {"D1": 3}, {"F2": 3}))
    assert {finding.rule for finding in lint(found)} == {"overdrawn"}


def test_one_process_in_several_events_balances_together():
    """EPCIS: several events with one transformationID are one longer process."""
    process = {"transformationID": f"{OTHER}/xform/1"}
    first = event(3, "Transformation", inputQuantityList=[lot("D1", 6)], **process)
    second = event(4, "Transformation", outputQuantityList=[lot("F1", 6)], **process)
    assert lint(document(came(1, "D1", 6), first, second)) == []


def test_an_excerpt_may_name_what_was_made_before():
    excerpt = document(changed(3, {"D1": 6}, {"F1": 6}))
    assert [finding.rule for finding in lint(excerpt)] == ["unknown-id"]
    assert lint(excerpt, is_excerpt=True) == []


@given(st.lists(st.dictionaries(KEYS, JUNK, max_size=8) | JUNK, max_size=3) | JUNK)
def test_linting_never_fails(rows):
    lint(document() | {"epcisBody": {"eventList": rows}})
    lint(rows)
