"""The public script reckons an answer ahead by itself, and sees every entry that some reader of JSON sees."""

import json

import pytest

from tests.workshop.calculations.test_audit_archives import (
    files_of,
    moved_mg,
    verified,
    whole_audit,
    whole_zip,
    zip_of,
    zipped,
)
from workshop.calculations.audit_archives import sums_of


def ahead_audit(change=None):
    """The same book asked where A went."""
    audit, entries = whole_audit()
    audit |= {"question": "Where did A go?", "follows": "forward", "is_whole": True, "origins": []}
    audit |= {"roots": {"A": 6000}, "sums_mg": sums_of(moved_mg(entries), [])}
    audit["whereabouts"] = [
        {"lot": lot, "name": "n", "fate": "", "mass_mg": mg, "share": f"{mg / 6000:.9f}"}
        for lot, mg in (("D", 4500), ("A", 1000), ("C", 500))
    ]
    if change:
        change(audit, entries)
    return zip_of(audit, entries)


def test_an_answer_ahead_is_reckoned_again(tmp_path):
    """A: 6000 came, 2000 went to C (half of its 4000), 3000 to D; C gave 3000 of 4000 to D: D has 3000 + 1500."""
    is_good, said = verified(tmp_path, ahead_audit())
    assert is_good, said


def test_a_changed_answer_ahead_is_told(tmp_path):
    def change(audit, _entries):
        audit["whereabouts"][0]["mass_mg"], audit["whereabouts"][1]["mass_mg"] = 4400, 1100

    is_good, said = verified(tmp_path, ahead_audit(change))
    assert not is_good
    assert "D: 4400 mg, the transfers give 4500 mg" in said
    assert "A: 1100 mg, the transfers give 1000 mg" in said


def test_a_place_left_out_of_an_answer_ahead_is_told(tmp_path):
    is_good, said = verified(tmp_path, ahead_audit(lambda audit, _: audit["whereabouts"].pop()))
    assert not is_good
    assert "C: 0 mg, the transfers give 500 mg" in said


def test_what_left_the_workshop_is_told_by_how(tmp_path):
    def change(audit, _entries):
        row = audit["whereabouts"][2]
        row |= {"lot": "", "fate": "disposed"}

    is_good, said = verified(tmp_path, ahead_audit(change))
    assert not is_good
    assert "disposed: 500 mg, the transfers give 0 mg" in said


def test_a_posting_left_out_everywhere_is_found_ahead_too(tmp_path):
    def change(audit, entries):
        entries.pop(5)
        audit["entries"].pop(5)
        audit["sums_mg"] = sums_of(moved_mg(entries), [])

    is_good, said = verified(tmp_path, ahead_audit(change))
    assert not is_good
    assert "D: 4500 mg, the transfers give 0 mg" in said


def test_a_file_of_before_is_not_reckoned_ahead(tmp_path):
    """It has not all that came into the lots on the way."""

    def change(audit, _entries):
        audit.pop("is_whole")
        audit["whereabouts"][0]["mass_mg"] = 1

    assert verified(tmp_path, ahead_audit(change))[0]


def hidden_entries(files: dict[str, bytes]) -> list[bytes]:
    """Ways to write an entry that some reader of JSON sees, and no leaf holds."""
    lines = files["entries.json"].split(b"\n")
    strange = json.dumps(json.loads(lines[1].rstrip(b",")) | {"name": "P-09999"}).encode()
    return [
        b"\n".join([lines[0] + strange + b",", *lines[1:]]),
        b"\n".join([lines[0], lines[1] + strange + b",", *lines[2:]]),
        b"\n".join([*lines[:-2], b"," + strange, *lines[-2:]]),
        b"\n".join([*lines[:-2], b",", strange, *lines[-2:]]),
    ]


@pytest.mark.parametrize("way", range(4))
def test_an_entry_that_stands_where_none_is_read_is_found(tmp_path, way):
    files = files_of(whole_zip())
    octets = zipped(files | {"entries.json": hidden_entries(files)[way]})
    assert not verified(tmp_path, octets)[0]
