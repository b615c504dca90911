"""With the line of its paper at hand, each value that is changed in the ZIP of a real file is found."""

import csv
import json
from contextlib import redirect_stdout
from copy import deepcopy
from io import BytesIO, StringIO

import pytest

from tests.factories.audits import make_audit, make_story
from tests.workshop.calculations.test_audit_archives import files_of, own, paper_of, zipped
from workshop.calculations.audit_archives import table, written_list
from workshop.queries.audits import audit_zip

pytestmark = pytest.mark.django_db

LONG = ("entries.json",)  # one entry a line
UNSEEN = ("README.txt", "verify_audit.py")  # what no check looks at, as the script and /verify/ say


@pytest.fixture
def octets(operator, lead):
    """The ZIP of the audit file of a part in a small book."""
    story = make_story(operator, lead)
    return b"".join(audit_zip(make_audit(lead, "lot", story.part.code)))


def is_found(files: dict[str, bytes], line: str) -> bool:
    """Return whether the script finds a fault, or cannot read what it is given."""
    try:
        with redirect_stdout(StringIO()):
            return bool(list(own["faults"](own["zipfile"].ZipFile(BytesIO(zipped(files))), line)))
    except Exception:  # noqa: BLE001 - the script takes all of them as a fault
        return True


def places(value, way=()):
    """Yield the way to each value that has no other values in it."""
    if not isinstance(value, dict | list) or not value:
        yield way
        return
    for key, each in value.items() if isinstance(value, dict) else enumerate(value):
        yield from places(each, (*way, key))


def other(value):
    """Return another value of the same kind."""
    if isinstance(value, bool):
        return not value
    kinds = {
        int: lambda: value + 1,
        str: lambda: f"{value}1",
        list: lambda: [1],
        dict: lambda: {"a": 1},
    }
    return kinds.get(type(value), lambda: "1")()


def changed(whole, way):
    """Return a document in which one value is another."""
    copy = deepcopy(whole)
    inside = copy
    for key in way[:-1]:
        inside = inside[key]
    inside[way[-1]] = other(inside[way[-1]])
    return copy


def json_changes(name: str, content: bytes):
    """Yield what was changed, and the file after it."""
    whole = json.loads(content)
    for way in places(whole):
        document = changed(whole, way)
        text = b"".join(written_list(document)) if name in LONG else json.dumps(document).encode()
        yield way, text


def csv_changes(content: bytes):
    """Yield what was changed, and the file after it: each cell, each heading, each row taken out."""
    rows = list(csv.reader(StringIO(content.decode(), newline="")))
    for number, row in enumerate(rows):
        for place, cell in enumerate(row):
            document = [
                *rows[:number],
                [*row[:place], f"{cell}1", *row[place + 1 :]],
                *rows[number + 1 :],
            ]
            yield (number, place), b"".join(table(document[0], document[1:]))
        rest = rows[:number] + rows[number + 1 :]
        if rest:
            yield (number, "row"), b"".join(table(rest[0], rest[1:]))


def test_each_value_that_is_changed_is_found(octets):
    files, line = files_of(octets), paper_of(octets)
    assert not is_found(files, line)
    tried, missed = 0, []
    for name in sorted(files.keys() - {*UNSEEN}):
        is_table = name.endswith(".csv")
        for place, text in (
            csv_changes(files[name]) if is_table else json_changes(name, files[name])
        ):
            tried += 1
            if not is_found(files | {name: text}, line):
                missed.append((name, place))
    assert missed == []
    assert tried > 300


def test_what_is_beside_the_data_is_not_looked_at(octets):
    """Read the script before it is run; README.txt only says how."""
    files, line = files_of(octets), paper_of(octets)
    for name in UNSEEN:
        assert not is_found(files | {name: b"another"}, line)
