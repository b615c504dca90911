"""PROV documents as this project writes them, read back by the library `prov`, which is not ours."""

import json
import re
import tracemalloc
from datetime import UTC, datetime, timedelta
from uuid import UUID

import pytest
from prov.model import ProvActivity, ProvAgent, ProvDerivation, ProvDocument, ProvInvalidation

from inventory.calculations.prov_documents import (
    Doing,
    Material,
    Move,
    Thing,
    prov_json,
    prov_notation,
)

BASE = "https://trace.example.org"
AT = datetime(2026, 3, 2, 9, tzinfo=UTC)
A, F, PART = Thing("A", is_thing=False), Thing("F", is_thing=False), Thing("P1", is_thing=True)
TONNES_3_MG = 3_000_000_000
MOVED = Doing("", UUID(int=1), AT, "lead")
LOADED = Doing("R-0001", UUID(int=2), AT + timedelta(hours=1), "operator")
YIELDED = Doing("R-0001", UUID(int=3), AT + timedelta(hours=3))


class Story:
    """3 t of A became F, which a run made a part of; the rest of F was thrown away."""

    def materials(self):
        for lot, mark in ((A, ">PP<"), (F, ""), (PART, 'a "quoted" \\ mark é')):
            yield Material(lot, "PP", mark, "blue", "flake", "virgin" if lot == A else "")

    def doings(self):
        return [MOVED, LOADED, YIELDED]

    def fillings(self):
        return [self.moves()[1], self.moves()[0]]

    def moves(self):
        return [
            Move(MOVED, A, F, TONNES_3_MG, "moved", melted=False),
            Move(LOADED, F, PART, 1_000, "part", melted=True),
            Move(YIELDED, F, None, 2_000, "disposed", melted=False),
        ]

    def endings(self):
        return self.moves()[2:]


class Nothing:
    """No posting at all."""

    def nothing(self):
        return iter(())

    materials = doings = fillings = moves = endings = nothing


@pytest.fixture
def kept() -> ProvDocument:
    content = "".join(prov_json(Story(), BASE))
    return ProvDocument.deserialize(content=content, format="json")


def names(document: ProvDocument, kind) -> list[str]:
    return sorted(str(row.identifier) for row in document.get_records(kind))


def test_a_run_is_one_activity_and_agents_are_roles(kept):
    own = "posting:00000000-0000-0000-0000-000000000001"
    assert names(kept, ProvActivity) == [own, "run:R-0001"]
    (run,) = [row for row in kept.get_records(ProvActivity) if str(row.identifier) == "run:R-0001"]
    assert (run.get_startTime(), run.get_endTime()) == (LOADED.at, YIELDED.at)
    assert names(kept, ProvAgent) == ["party:role-lead", "party:role-operator", "party:workshop"]


def test_each_transfer_is_a_derivation_with_its_mass(kept):
    rows = [
        (
            *map(str, row.args[:2]),
            *(int(getattr(mg, "value", mg)) for mg in row.get_attribute("ws:milligrams")),
        )
        for row in kept.get_records(ProvDerivation)
    ]
    assert rows == [("lot:F", "lot:A", TONNES_3_MG), ("part:P1", "lot:F", 1_000)]


def test_what_was_thrown_away_to_its_end_is_no_more(kept):
    (end,) = kept.get_records(ProvInvalidation)
    assert str(end.args[0]) == "lot:F"


def test_no_name_stands_for_two_records():
    """PROV-JSON: a name that comes twice in an object would lose the first in most readers."""
    pairs = []
    json.loads("".join(prov_json(Story(), BASE)), object_pairs_hook=pairs.append)
    for each in pairs:
        assert len({key for key, _value in each}) == len(each)


def statements(notation: str) -> list[str]:
    """The statements of PROV-N; the library writes a whole number of more than 31 bits as it likes."""
    plain = re.sub(r'"(\d+)" %% xsd:long', r"\1", notation)
    return sorted(line.strip() for line in plain.splitlines() if line.strip())


def test_the_notation_is_what_the_library_makes_of_the_json(kept):
    """PROV-N written by `prov` from the PROV-JSON that it read, against our own PROV-N."""
    own = "".join(prov_notation(Story(), BASE))
    assert statements(own) == statements(kept.get_provn())


def test_a_name_of_two_lines_stays_one_statement():
    """PROV-N, production STRING_LITERAL: a new line within quotes is written as an escape."""
    found = Story()
    found.materials = lambda: [Material(A, "PP", "", "two\nlines", "", "")]
    assert 'ws:colour="two\\nlines"' in "".join(prov_notation(found, BASE))


def test_nothing_is_a_document_too():
    content = "".join(prov_json(Nothing(), BASE))
    assert list(ProvDocument.deserialize(content=content, format="json").get_records()) == []
    assert "".join(prov_notation(Nothing(), BASE)).splitlines()[-1] == "endDocument"


class Long(Story):
    """So many moves that the document has several MB."""

    def moves(self):
        made = (Thing(f"L{number}", is_thing=False) for number in range(8_000))
        return (Move(MOVED, A, lot, 1_000, "moved", melted=False) for lot in made)

    fillings = moves
    endings = Nothing.nothing


@pytest.mark.parametrize("spelling", [prov_json, prov_notation])
def test_a_long_document_takes_no_more_memory(spelling):
    tracemalloc.start()
    length = sum(map(len, spelling(Long(), BASE)))
    peak = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    assert length > 1_600_000
    assert peak < 1_000_000
