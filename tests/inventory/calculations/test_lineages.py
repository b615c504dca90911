"""Shares read off another workshop's document, reckoned by hand, and what a document cannot tell."""

from fractions import Fraction

import pytest

from inventory.calculations.epcis_reading import read
from inventory.calculations.lineages import (
    NoLineage,
    content_digest,
    event_digests,
    last_lots,
    lineage_of,
    storable,
)
from tests.factories.epcis import OTHER, blend, came, changed, document, event, lot


def told(found: dict, name: str = "F1"):
    return lineage_of(read(found), found, f"{OTHER}/class/{name}")


def shares(lineage) -> dict:
    return {
        each.id.rpartition("/")[2]: Fraction(*share) for each, share in lineage.beginnings.items()
    }


def test_a_blend_has_the_shares_of_what_went_in():
    lineage = told(blend())
    assert shares(lineage) == {"D1": Fraction(3, 4), "D2": Fraction(1, 4)}
    assert [each.origin_class for each in lineage.beginnings] == ["post-consumer", "virgin"]
    assert (lineage.mass_mg, lineage.lots, lineage.origin_class) == (8_000_000, 3, "unknown")
    assert lineage.material["polymer"] == "PP"


def test_what_was_put_together_there_changes_no_share():
    """An AssociationEvent joins things without changing them, so a lineage passes it over."""
    found = blend()
    ends = {"parentID": f"{OTHER}/obj/STOOL", "childEPCs": [f"{OTHER}/obj/CLIP"]}
    for number, action in ((8, "ADD"), (9, "DELETE")):
        joined = event(number, "Association", action=action, bizStep="assembling", **ends)
        found["epcisBody"]["eventList"].append(joined)
    assert read(found).findings == ()
    assert told(found) == told(blend())


def test_any_input_may_be_in_each_output():
    """EPCIS: a transformation asserts that any input may have contributed to each output."""
    found = document(
        came(1, "D1", 3), came(2, "D2", 1), changed(3, {"D1": 3, "D2": 1}, {"F1": 1, "F2": 3})
    )
    assert (
        shares(told(found))
        == shares(told(found, "F2"))
        == {"D1": Fraction(3, 4), "D2": Fraction(1, 4)}
    )


def test_melt_passes_count_each_melted_change():
    once = changed(3, {"D1": 6}, {"F1": 6}, **{"ws:melted": True})
    twice = changed(4, {"F1": 3, "D2": 1}, {"F2": 4}, **{"ws:melted": True})
    lineage = told(document(came(1, "D1", 6), came(2, "D2", 4), once, twice), "F2")
    assert {n: Fraction(*share) for n, share in lineage.passes.items()} == {
        1: Fraction(1, 4),
        2: Fraction(3, 4),
    }


def brought(*rows, **more) -> dict:
    origins = [{f"ws:{key}": value for key, value in row.items()} for row in rows]
    return document(came(1, "D1", 6, origins=origins, **more), changed(2, {"D1": 6}, {"F1": 6}))


def test_origins_that_were_brought_there_are_carried_through():
    rows = [
        {"lot": "urn:a:1", "originClass": "post-consumer", "share": "1/3"},
        {"lot": "urn:a:2", "originClass": "virgin", "share": "2/3"},
    ]
    passes = [{"ws:count": 2, "ws:share": 1}]
    lineage = told(brought(*rows, passes=passes))
    assert {each.id: share for each, share in lineage.beginnings.items()} == {
        "urn:a:2": (2, 3),
        "urn:a:1": (1, 3),
    }
    assert lineage.passes == {2: (10**15, 10**15)}


@pytest.mark.parametrize(
    "share", ["1/2", "x", "1/0", -1, 2, None, True, "1e-400", "1e999999999", "1" * 900]
)
def test_shares_that_are_none_are_refused(share):
    with pytest.raises(NoLineage) as caught:
        told(brought({"lot": "urn:a:1", "share": share}))
    assert caught.value.finding.rule == "shares"


@pytest.mark.parametrize(
    ("found", "rule"),
    [
        (document(came(1, "D1", 6)), "no-lot"),
        (document(changed(1, {"F1": 1}, {"F2": 1}), changed(2, {"F2": 1}, {"F1": 1})), "ring"),
        (document(changed(1, {"D1": 1}, {"F1": 1})), "unknown-id"),
    ],
)
def test_what_the_document_does_not_tell_is_named(found, rule):
    with pytest.raises(NoLineage) as caught:
        told(found)
    assert caught.value.finding.rule == rule


def without_masses(*lists) -> dict:
    found = document(came(1, "D1", 6), came(2, "D2", 4), event(3, "Transformation", **dict(lists)))
    for each in found["epcisBody"]["eventList"][2]["inputQuantityList"]:
        del each["quantity"], each["uom"]
    return found


def test_a_mixture_without_masses_cannot_be_told():
    sides = (
        ("inputQuantityList", [lot("D1", 1), lot("D2", 1)]),
        ("outputQuantityList", [lot("F1", 2)]),
    )
    with pytest.raises(NoLineage) as caught:
        told(without_masses(*sides))
    assert caught.value.finding.rule == "mass-unknown"


def test_one_input_needs_no_mass():
    sides = ("inputQuantityList", [lot("D1", 1)]), ("outputQuantityList", [lot("F1", 2)])
    assert shares(told(without_masses(*sides))) == {"D1": 1}


def test_what_can_be_received_is_what_was_not_used_up_first_what_it_is_about():
    found = blend() | {"ws:about": [f"{OTHER}/class/D1", "nothing", 7]}
    assert [name.rpartition("/")[2] for name in last_lots(read(found))] == ["D1", "F1"]
    assert [name.rpartition("/")[2] for name in last_lots(read(blend()))] == ["F1"]


def test_the_digest_is_of_the_events_and_not_of_when_they_were_written_down():
    one, later = blend(), blend() | {"creationDate": "2026-04-01T00:00:00Z"}
    assert content_digest(event_digests(read(one)), "x") == content_digest(
        event_digests(read(later)), "x"
    )
    assert content_digest(event_digests(read(one)), "x") != content_digest(
        event_digests(read(one)), "y"
    )


def test_shares_too_fine_to_keep_still_sum_to_exactly_one():
    fine = {"a": Fraction(1, 3**60), "b": 1 - Fraction(1, 3**60), "c": Fraction(0)}
    kept = storable(fine, is_exact=True)
    assert sum(Fraction(*share) for share in kept.values()) == 1
    assert kept.keys() == {"b"}
