"""What the public script answers with and without the line of the paper, and what it holds of figures."""

import pytest
import rfc8785
from hypothesis import given
from hypothesis import strategies as st

from inventory.calculations.merkle import Tree, leaf_hash
from tests.inventory.calculations.test_merkle import ENTRIES, ROOTS
from tests.workshop.calculations.test_audit_archives import (
    checked,
    files_of,
    own,
    paper_of,
    verified,
    whole_zip,
    zipped,
)


def test_the_line_may_be_given_in_two_as_older_papers_have_it(tmp_path):
    size, root, fingerprint = paper_of(whole_zip()).split(":")
    assert checked(tmp_path, whole_zip(), f"{size}:{root}", fingerprint)[0] == 0


def test_without_the_whole_line_a_file_only_agrees_with_itself(tmp_path):
    """All of a ZIP can be made anew; only what is held outside it shows that."""
    line = paper_of(whole_zip())
    for more in ([], [line.rsplit(":", 1)[0]]):
        code, said = checked(tmp_path, whole_zip(), *more)
        assert code == 2
        assert "Everything agrees" not in said
        assert "hold SIZE:ROOT and the fingerprint against the paper" in said


def test_another_fingerprint_than_the_one_on_the_paper_is_told(tmp_path):
    line = paper_of(whole_zip())
    code, said = checked(tmp_path, whole_zip(), line[:-1] + "xyz"[:1])
    assert code == 1
    assert "fingerprint: is another one than the one you gave" in said


@pytest.mark.parametrize("column", ["entry", "lot", "role", "mass_mg", "basis", "uncertainty_ug"])
def test_a_weighing_that_its_entry_does_not_tell_is_found_in_whatever_says_it(tmp_path, column):
    def change(audit, _entries):
        row = audit["weighings"][1]
        row[column] = 7 if isinstance(row[column], int) else "P-00001"

    is_good, said = verified(tmp_path, whole_zip(change))
    assert not is_good
    assert "is not in the entry" in said


def test_a_weighing_on_no_scale_of_an_entry_that_tells_one_is_found(tmp_path):
    assert not verified(
        tmp_path, whole_zip(lambda audit, _: audit["weighings"][0].update(scale=None))
    )[0]


def test_another_checkpoint_json_is_told(tmp_path):
    files = files_of(whole_zip())
    changed = files["checkpoint.json"].replace(b'"size": 9', b'"size": 8')
    is_good, said = verified(tmp_path, zipped(files | {"checkpoint.json": changed}))
    assert not is_good
    assert "checkpoint.json: has" in said


def test_a_total_or_a_share_that_does_not_follow_is_told(tmp_path):
    is_good, said = verified(tmp_path, whole_zip(lambda audit, _: audit.update(total_mg=6001)))
    assert not is_good
    assert "total_mg: has 6001" in said
    is_good, said = verified(
        tmp_path, whole_zip(lambda audit, _: audit["origins"][0].update(share="0.76"))
    )
    assert not is_good
    assert "origin A: 4500 mg, the transfers give 4500 mg; share 0.76" in said


def test_a_file_that_does_not_belong_into_the_zip_is_told(tmp_path):
    files = files_of(whole_zip())
    assert "has notes.txt" in verified(tmp_path, zipped(files | {"notes.txt": b""}))[1]
    del files["README.txt"]
    assert "lacks README.txt" in verified(tmp_path, zipped(files))[1]


@pytest.mark.parametrize("size", range(1, 9))
def test_the_script_follows_the_tree_of_eight_leaves(size):
    """Roots of the eight-leaf tree of RFC 9162's readers, see test_merkle.py."""
    leaves = [leaf_hash(each) for each in ENTRIES[:size]]
    tree = Tree(size, lambda start, end: leaves[start:end])
    for number, path in tree.inclusions(range(size)):
        told = (number, size, [each.hex() for each in path])
        assert own["is_included"](leaves[number], *told, ROOTS[size])
        assert not own["is_included"](leaves[number], *told, ROOTS[size - 1])
        assert not own["is_included"](leaves[number - 1], *told, ROOTS[size]) or size == 1
        longer = (number, size, [*told[2], "00" * 32])
        assert not own["is_included"](leaves[number], *longer, ROOTS[size])


plain = st.recursive(
    st.none() | st.booleans() | st.integers(-(2**53) + 1, 2**53 - 1) | st.text(),
    lambda inner: st.lists(inner) | st.dictionaries(st.text("abcdefgh_XYZ"), inner),
    max_leaves=12,
)


@given(plain)
def test_the_script_writes_canonical_json_as_the_library_does(value):
    try:
        expected = rfc8785.dumps(value)
    except (UnicodeEncodeError, rfc8785.CanonicalizationError):
        return
    assert own["canonical"](value) == expected


@pytest.mark.parametrize("value", [1.0, 1e-6, 2**53, {"\U0001f600": 1, "\uffff": 2}])
def test_what_the_script_writes_otherwise_is_found_by_its_hash(value):
    """RFC 8785 writes these otherwise or not at all; so an entry with them is not what a leaf holds."""
    try:
        expected = rfc8785.dumps(value)
    except rfc8785.CanonicalizationError:
        return
    assert own["canonical"](value) != expected
