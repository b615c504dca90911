"""Events of postings: what gave to what stays exact, masses balance, corrections are declared."""

from datetime import UTC, datetime, timedelta, timezone
from uuid import UUID

from inventory.calculations.epcis_events import Flow, Stuff, Told, events_of, head_of
from inventory.calculations.epcis_lint import lint
from tests.factories.schemas import faults

BASE = "https://trace.example.org"
AT = datetime(2026, 3, 2, 9, 0, tzinfo=timezone(timedelta(hours=-3, minutes=-30)))
KG = 1_000_000


def stuff(code: str, **more) -> Stuff:
    facts = {"polymer": "PP", "mark": ">PP<", "colour": "blue", "srgb": "#0000ff", "form": "flake"}
    return Stuff(code, **({"is_thing": code.startswith("P")} | facts | more))


A, B = stuff("A", origin_class="post-consumer", party="4"), stuff("B", origin_class="virgin")
FILL, PARTS = stuff("F", bin="BIN1"), [stuff("P1"), stuff("P2")]


def told(*flows: Flow, number: int = 7, run: str = "", **more) -> Told:
    return Told(UUID(int=number), AT, run, "operator", tuple(flows), **more)


RECEIPTS = [
    told(Flow(None, A, 6 * KG, "received"), number=1),
    told(Flow(None, B, 4 * KG, "received", scale="scale-1"), number=2),
]
BLEND = told(Flow(A, FILL, 6 * KG, "moved"), Flow(B, FILL, 2 * KG, "remainder"), number=3)
YIELD = told(
    Flow(FILL, PARTS[0], 3 * KG, "part", melted=True),
    Flow(FILL, PARTS[1], 3 * KG, "part", melted=True),
    Flow(FILL, stuff("R"), KG, "leftover"),
    Flow(FILL, None, KG, "loss"),
    number=4,
    run="R-0001",
)


def document(*steps: Told) -> dict:
    found = head_of(BASE, AT, {"workshop": "Invented"})
    found["epcisBody"]["eventList"] = [each for step in steps for each in events_of(step, BASE)]
    return found


def kinds(events) -> list[str]:
    return [each["type"].removesuffix("Event") for each in events]


def test_a_whole_story_is_right_by_schema_and_linter():
    story = document(*RECEIPTS, BLEND, YIELD)
    assert (faults(story), lint(story)) == ([], [])


def test_a_delivery_is_commissioned_and_received():
    first, second = events_of(RECEIPTS[1], BASE)
    assert (first["action"], first["bizStep"], first["disposition"]) == (
        "ADD",
        "commissioning",
        "active",
    )
    assert (second["action"], second["bizStep"]) == ("OBSERVE", "receiving")
    assert first["ilmd"]["ws:originClass"] == "virgin"
    assert second["sensorElementList"][0]["sensorReport"][0]["value"] == 4.0


def test_the_offset_is_that_of_the_workshop_and_never_z():
    assert events_of(BLEND, BASE)[0]["eventTimeZoneOffset"] == "-03:30"
    utc = Told(UUID(int=1), datetime(2026, 1, 1, tzinfo=UTC), "", "", BLEND.flows)
    assert events_of(utc, BASE)[0]["eventTimeZoneOffset"] == "+00:00"


def test_each_change_has_one_input_or_one_output():
    """So that what gave to what is exact without any word of ours."""
    crossed = told(
        Flow(A, PARTS[0], 1, "part"),
        Flow(A, PARTS[1], 2, "part"),
        Flow(B, PARTS[1], 3, "difference"),
    )
    pairs = [
        (each["inputQuantityList"], each["outputEPCList"]) for each in events_of(crossed, BASE)
    ]
    assert [(len(given), len(taken)) for given, taken in pairs] == [(1, 1), (2, 1)]


def test_what_was_melted_is_told_apart():
    melted, not_melted, gone = [
        e for e in events_of(YIELD, BASE) if e["type"] != "AggregationEvent"
    ]
    assert melted["ws:melted"] is True
    assert "ws:melted" not in not_melted
    assert melted["ws:partMass"][1] == {"ws:epc": f"{BASE}/obj/P2", "ws:milligrams": 3 * KG}
    assert (gone["action"], gone["bizStep"]) == ("DELETE", "destroying")


def test_a_fill_is_in_its_bin():
    assert kinds(events_of(BLEND, BASE)) == ["Transformation", "Aggregation", "Aggregation"]
    assert events_of(BLEND, BASE)[1]["parentID"] == f"{BASE}/obj/BIN1"


def test_ids_follow_from_the_posting_and_are_all_different():
    ids = [each["eventID"] for each in events_of(YIELD, BASE)]
    assert ids[0] == f"urn:uuid:{UUID(int=4)}"
    assert len(set(ids)) == len(ids)
    assert ids == [each["eventID"] for each in events_of(YIELD, BASE)]


def test_what_was_undone_is_repeated_with_its_declaration():
    undone = told(*BLEND.flows, number=3, undone_at=AT + timedelta(days=1))
    events = events_of(undone, BASE)
    assert {e["errorDeclaration"]["reason"] for e in events[3:]} == {"did_not_occur"}
    assert all("correctiveEventIDs" not in e["errorDeclaration"] for e in events[3:])
    bare = [
        {key: value for key, value in e.items() if key != "errorDeclaration"} for e in events[3:]
    ]
    assert bare == events[:3]


def test_what_was_corrected_names_what_stands_instead():
    instead = told(Flow(A, FILL, 5 * KG, "moved"), number=9)
    undone = told(*BLEND.flows, number=3, undone_at=AT, instead=(instead,))
    declaration = events_of(undone, BASE)[-1]["errorDeclaration"]
    assert declaration["reason"] == "incorrect_data"
    assert declaration["correctiveEventIDs"] == [e["eventID"] for e in events_of(instead, BASE)]
    story = document(*RECEIPTS, undone, instead)
    assert (faults(story), lint(story)) == ([], [])
