"""The ZIP of an audit file is the same bytes each time, and the public script finds what was done to it.

The script is run as anybody would: alone, by an interpreter that sees none of our code (`python -I`).
"""

import csv
import json
import subprocess
import sys
import tracemalloc
from copy import deepcopy
from hashlib import sha256
from io import BytesIO, StringIO
from pathlib import Path
from runpy import run_path
from zipfile import ZipFile

import pytest
import rfc8785

from inventory.calculations.merkle import Tree, leaf_hash, root_over
from workshop.calculations import audit_archives
from workshop.calculations.audit_archives import Entries, archive_zip, sums_of, table, transfer_rows

SCRIPT = Path(__file__).resolve().parents[3] / "static" / "verify_audit.py"
own = run_path(str(SCRIPT))


def posting(number: int, *transfers, reverses=None) -> dict:
    return {
        "uuid": f"u-{number}",
        "kind": "move",
        "happened_at": "2026-03-02T09:00:00.000000Z",
        "recorded_at": "2026-03-02T09:00:01.000000Z",
        "by": 7,
        "reason": 'a "quoted", reason\nin two lines é \x07',
        "reverses": reverses,
        "transfers": [list(transfer) for transfer in transfers],
    }


def line(source, target, mass_mg: int) -> tuple:
    return source, target, mass_mg, "moved", True, "weighed", 3, 4083


# A and B come in; C is filled from both, wrongly first; D takes of C and the rest of A.
BOOK = [
    posting(0, line(None, "A", 6000)),
    posting(1, line(None, "B", 2000)),
    posting(2, line("A", "C", 1000), line("B", "C", 200)),
    posting(3, line("C", "A", 1000), line("C", "B", 200), reverses="u-2"),
    posting(4, line("A", "C", 2000), line("B", "C", 2000)),
    posting(5, line("C", "D", 3000), line("A", "D", 3000)) | {"reason": "=1+1"},
    {**{key: posting(6)[key] for key in posting(6) if key != "transfers"}, "verb": "hold"},
]


def weighing(number: int, place: int) -> dict:
    """What is said of a transfer of the book as a weighing."""
    source, target, mass_mg, role, _melted, basis, _scale, ug = BOOK[number - 1]["transfers"][
        place - 1
    ]
    head = {"entry": f"P-{number:05d}", "lot": target or source, "role": role, "mass_mg": mass_mg}
    tail = {"basis": basis, "scale": "Bench", "resolution_mg": 10, "uncertainty_ug": ug}
    return head | tail


def whole_audit():
    """An audit file of seven entries in a book of nine."""
    digests = [sha256(rfc8785.dumps(content)).digest() for content in BOOK]
    leaves = [leaf_hash(each) for each in [b"0" * 32, *digests, b"1" * 32]]
    paths = dict(Tree(9, lambda start, end: leaves[start:end]).inclusions(range(1, 8)))
    entries = [
        {
            "name": f"P-{number:05d}",
            "kind": "posting",
            "leaf": number,
            "content": content,
            "path": [each.hex() for each in paths[number]],
        }
        for number, content in enumerate(deepcopy(BOOK), 1)
    ]
    facts = {"name": "n", "source": "é", "class": "virgin", "polymer": "PP", "colour": "blue"}
    origins = [
        {"lot": "A", "mass_mg": 4500, "share": "0.75", **facts},
        {"lot": "B", "mass_mg": 1500, "share": "0.25", **facts},
    ]
    audit = {
        "number": "A-0001",
        "question": "What is D made of?",
        "checkpoint": {"size": 9, "root": root_over(leaves).hex(), "number": "C-0001"},
        "entries": [{key: each[key] for key in ("name", "kind", "leaf")} for each in entries],
        "follows": "back",
        "roots": {"D": 6000},
        "total_mg": 6000,
        "origins": origins,
        "whereabouts": [],
        "weighings": [weighing(5, 1), weighing(6, 1), weighing(6, 2)],
        "sums_mg": sums_of(moved_mg(entries), origins),
    }
    return audit, entries


def moved_mg(entries: list[dict]) -> int:
    return sum(row[4] for row in transfer_rows(entries))


def zip_of(audit: dict, entries: list[dict]) -> bytes:
    rest = {key: audit[key] for key in audit if key != "entries"}
    ways = Entries(audit["entries"], entries, entries)
    return b"".join(archive_zip(rest, ways, {"README.txt": b"read me", "verify_audit.py": b""}))


def whole_zip(change=None) -> bytes:
    audit, entries = whole_audit()
    if change:
        change(audit, entries)
    return zip_of(audit, entries)


def files_of(octets: bytes) -> dict[str, bytes]:
    with ZipFile(BytesIO(octets)) as archive:
        return {name: archive.read(name) for name in archive.namelist()}


def zipped(files: dict[str, bytes]) -> bytes:
    out = BytesIO()
    with ZipFile(out, "w") as archive:
        for name, content in files.items():
            archive.writestr(name, content)
    return out.getvalue()


def with_rows(name: str, change) -> bytes:
    """A good ZIP in which the rows of one table were changed."""
    files = files_of(whole_zip())
    rows = list(csv.reader(StringIO(files[name].decode(), newline="")))
    change(rows)
    return zipped(files | {name: b"".join(table(rows[0], rows[1:]))})


def paper_of(octets: bytes) -> str:
    """Return the line on the paper of a ZIP that nobody has changed."""
    audit = json.loads(files_of(octets)["audit.json"])
    point = audit["checkpoint"]
    return f"{point['size']}:{point['root']}:{sha256(rfc8785.dumps(audit)).hexdigest()}"


def verified(tmp_path, octets: bytes, *more: str):
    """Return whether the script finds no fault, and what it says."""
    code, said = checked(tmp_path, octets, *more)
    return code in {0, 2}, said


def checked(tmp_path, octets: bytes, *more: str):
    """Return the exit code of the script, and what it says."""
    file = tmp_path / "A-0001.zip"
    file.write_bytes(octets)
    return told_by_script(str(file), *more)


def told_by_script(*arguments: str):
    command = [sys.executable, "-I", str(SCRIPT), *arguments]
    done = subprocess.run(command, capture_output=True, text=True, timeout=60, check=False)
    assert "Traceback" not in done.stderr
    return done.returncode, done.stdout + done.stderr


def test_without_a_file_it_says_how_to_ask():
    code, said = told_by_script()
    assert code == 1
    assert "python3 -I verify_audit.py A-0001.zip SIZE:ROOT:FINGERPRINT" in said


def test_a_good_file_passes_with_the_line_of_its_paper(tmp_path):
    code, said = checked(tmp_path, whole_zip(), paper_of(whole_zip()))
    assert code == 0
    assert "Everything agrees." in said
    assert "What is D made of?" in said


def test_what_somebody_typed_is_no_formula_in_a_table():
    rows = csv.DictReader(StringIO(files_of(whole_zip())["entries.csv"].decode(), newline=""))
    assert [row["reason"] for row in rows if row["name"] == "P-00006"] == ["'=1+1"]


def test_the_script_is_short_and_imports_the_standard_library_only():
    text = SCRIPT.read_text()
    assert text.count("\n") <= 150
    lines = [each.split()[1] for each in text.splitlines() if each.startswith(("import", "from"))]
    assert set(lines) <= sys.stdlib_module_names


def test_the_same_content_is_the_same_bytes_with_fixed_times_and_order():
    first = whole_zip()
    assert first == whole_zip()
    with ZipFile(BytesIO(first)) as archive:
        assert {each.date_time for each in archive.infolist()} == {(1980, 1, 1, 0, 0, 0)}
        assert archive.namelist() == sorted(archive.namelist())


def set_cell(place: int, column: str, value: str):
    def change(rows):
        rows[place][rows[0].index(column)] = value

    return change


def swap(rows):
    rows[3], rows[4] = rows[4], rows[3]


ROW = "['P-00003', '1'"
TABLES = {
    "changed": (
        set_cell(3, "mass_mg", "3"),
        [f"lacks {ROW}, 'A', 'C', '1000', 'moved'", f"has {ROW}, 'A', 'C', '3', 'moved'"],
    ),
    "changed role": (set_cell(3, "role", "part"), [f"has {ROW}, 'A', 'C', '1000', 'part'"]),
    "removed": (lambda rows: rows.pop(3), [f"lacks {ROW}, 'A'"]),
    "added": (lambda rows: rows.append(["P-99999", *rows[1][1:]]), ["has ['P-99999', '1'"]),
    "doubled": (lambda rows: rows.append(rows[3]), [f"has {ROW}, 'A'"]),
    "doubled within": (lambda rows: rows.insert(2, rows[3]), [f"has {ROW}, 'A'"]),
    "swapped": (swap, [f"{ROW}, 'A'", "['P-00003', '2', 'B'", "is not in its place"]),
    "column": (lambda rows: [row.append("x") for row in rows], ["'uncertainty_ug', 'x']"]),
    "empty row": (lambda rows: rows.insert(3, []), ["has [], which has no place there"]),
    "heading": (lambda rows: rows[0].__setitem__(4, "grams"), ["'grams'"]),
}


@pytest.mark.parametrize("case", TABLES)
def test_what_was_done_to_a_row_of_the_transfers_is_told_by_its_name(tmp_path, case):
    change, told = TABLES[case]
    is_good, said = verified(tmp_path, with_rows("transfers.csv", change))
    assert not is_good
    assert [part for part in told if part not in said] == []


def test_a_changed_row_of_the_other_tables_is_told(tmp_path):
    for name, column, row in (
        ("entries.csv", "by", "P-00001"),
        ("origins.csv", "source", "A"),
        ("weighings.csv", "scale", "P-00005"),
    ):
        is_good, said = verified(tmp_path, with_rows(name, set_cell(1, column, "8")))
        assert not is_good
        assert f"{name}: lacks ['{row}'" in said
        assert f"{name}: has ['{row}'" in said


def test_what_was_done_to_an_entry_is_told_by_its_name(tmp_path):
    def change(_audit, entries):
        entries[4]["content"]["transfers"][0][2] = 1999

    is_good, said = verified(tmp_path, whole_zip(change))
    assert not is_good
    assert "P-00005: is not the entry that the checkpoint holds" in said


ENTRY_CHANGES = {
    "removed": (
        lambda entries: entries.pop(1),
        "entries.json: lacks {'kind': 'posting', 'leaf': 2, 'name': 'P-00002'}",
    ),
    "added": (
        lambda entries: entries.append(entries[0] | {"name": "P-00099"}),
        "entries.json: has {'kind': 'posting', 'leaf': 1, 'name': 'P-00099'}",
    ),
    "swapped": (
        lambda entries: entries.insert(0, entries.pop(1)),
        "'name': 'P-00001'} is not in its place",
    ),
    "at another leaf": (
        lambda entries: entries[1].update(leaf=3),
        "P-00002: is not the entry that the checkpoint holds",
    ),
    "with another's path": (
        lambda entries: entries[1].update(path=entries[2]["path"]),
        "P-00002: is not the entry that the checkpoint holds",
    ),
}


@pytest.mark.parametrize("case", ENTRY_CHANGES)
def test_an_entry_taken_out_put_in_or_moved_is_told_by_its_name(tmp_path, case):
    change, told = ENTRY_CHANGES[case]
    is_good, said = verified(tmp_path, whole_zip(lambda _audit, entries: change(entries)))
    assert not is_good
    assert told in said


def test_an_answer_that_does_not_follow_from_the_transfers_is_told(tmp_path):
    def change(audit, _entries):
        audit["origins"][0]["mass_mg"], audit["origins"][1]["mass_mg"] = 5000, 1000

    is_good, said = verified(tmp_path, whole_zip(change))
    assert not is_good
    assert "origin A: 5000 mg, the transfers give 4500 mg" in said
    assert "origin B: 1000 mg, the transfers give 1500 mg" in said


def test_an_entry_left_out_everywhere_is_found_by_what_follows_from_it(tmp_path):
    def change(audit, entries):
        entries.pop(3)
        audit["entries"].pop(3)
        audit["sums_mg"] = sums_of(moved_mg(entries), audit["origins"])

    is_good, said = verified(tmp_path, whole_zip(change))
    assert not is_good
    assert "origin A: 4500 mg, the transfers give" in said


def test_a_copy_of_the_checkpoint_kept_elsewhere_is_held_against_it(tmp_path):
    audit, _ = whole_audit()
    copy = f"{audit['checkpoint']['size']}:{audit['checkpoint']['root']}"
    assert verified(tmp_path, whole_zip(), copy)[0]
    is_good, said = verified(tmp_path, whole_zip(), "9:" + "0" * 64)
    assert not is_good
    assert "checkpoint or fingerprint: is another one than the one you gave" in said


def test_another_audit_json_has_another_fingerprint(tmp_path):
    told = []
    for question in ("A?", "B?"):
        octets = whole_zip(lambda audit, _, asked=question: audit.update(question=asked))
        said = verified(tmp_path, octets)[1].splitlines()
        told += [each for each in said if each.startswith("fingerprint")]
    assert len(set(told)) == 2


@pytest.mark.parametrize(
    "octets",
    [
        b"",
        b"no zip",
        zipped({}),
        zipped(files_of(whole_zip()) | {"entries.json": b'[{"name": 1}]'}),
    ],
)
def test_what_cannot_be_read_fails_with_a_sentence(tmp_path, octets):
    is_good, said = verified(tmp_path, octets)
    assert not is_good
    assert "cannot be read" in said


def test_a_float_has_no_place_in_an_entry(tmp_path):
    def change(_audit, entries):
        entries[0]["content"]["by"] = 7.0

    assert not verified(tmp_path, whole_zip(change))[0]


def test_json_keeps_one_entry_a_line():
    lines = files_of(whole_zip())["entries.json"].decode().splitlines()
    assert json.loads(lines[1].rstrip(","))["name"] == "P-00001"
    assert len(lines) == len(BOOK) + 2


LONG = 10_000


class Long:
    """So many entries that JSON and tables have ten MB and more, each made when it is read."""

    def __init__(self, *keys: str):
        self.keys = keys

    def __iter__(self):
        for number in range(LONG):
            entry = {
                "name": f"P-{number}",
                "kind": "posting",
                "leaf": number,
                "path": ["00" * 32] * 15,
            }
            entry["content"] = posting(number, line("A", "C", 1000))
            yield {key: entry[key] for key in self.keys}


def test_a_long_file_is_written_in_little_memory():
    audit, _ = whole_audit()
    del audit["entries"]
    named = ("name", "kind", "leaf")
    entries = Entries(Long(*named), Long(*named, "content"), Long(*named, "content", "path"))
    tracemalloc.start()
    sizes = [len(each) for each in archive_zip(audit, entries, {})]
    peak = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    assert max(sizes) < 1_000_000
    assert peak < 4_000_000


def test_more_than_two_gigabytes_would_fit(monkeypatch):
    """ZIP64 (APPNOTE 4.3.9.2): the sizes stand in eight bytes behind each file."""
    monkeypatch.setattr(audit_archives, "LARGE", 3)
    assert files_of(whole_zip())["README.txt"] == b"read me"
    assert whole_zip().count(b"\x01\x00\x10\x00") >= 1
