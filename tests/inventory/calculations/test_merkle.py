"""The Merkle tree, held against RFC 9162 and the eight-leaf tree that its readers have long shared.

The roots are those of the test data of the reference implementations of certificate logs
(remembered; the first and the last bytes of three of them were looked up). The recursive
definitions of RFC 9162 2.1.1 to 2.1.4.1 are written out below as a second implementation.
"""

from hashlib import sha256

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.calculations.merkle import (
    BRANCH,
    EMPTY,
    Peaks,
    Tree,
    is_continued,
    is_included,
    leaf_hash,
    node_hash,
    root_over,
    split,
)

ENTRIES = [
    bytes.fromhex(text)
    for text in (
        "",
        "00",
        "10",
        "2021",
        "3031",
        "40414243",
        "5051525354555657",
        "606162636465666768696a6b6c6d6e6f",
    )
]
ROOTS = [
    "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855",
    "6e340b9cffb37a989ca544e6bb780a2c78901d3fb33738768511a30617afa01d",
    "fac54203e7cc696cf0dfcb42c92a1d9dbaf70ad9e621f4bd8d98662f00e3c125",
    "aeb6bcfe274b70a14fb067a5e5578264db0fa9b51af5e0ba159158f329e06e77",
    "d37ee418976dd95753c1c73862b9398fa2a2cf9b4ff0fdfe8b30cd95209614b7",
    "4e3bbb1f7b478dcfe71fb631631519a3bca12c9aefca1612bfce4c13a86264d4",
    "76e67dadbcdf1e10e1b74ddc608abd2f98dfb16fbce75277b5232a127f2087ef",
    "ddb89be403809e325750d3d263cd78929c2942b7942a34b77e122c9594a74c8c",
    "5dc9da79a70659a9ad559cb701ded9a2ab9d823aad2f4960cfe370eff4604328",
]
sizes = st.integers(1, 70)


def leaves(count: int) -> list[bytes]:
    return [leaf_hash(str(number).encode()) for number in range(count)]


def tree(count: int) -> Tree:
    hashes = leaves(count)
    return Tree(count, lambda start, end: hashes[start:end])


def defined_root(hashes):
    """RFC 9162, 2.1.1."""
    if not hashes:
        return sha256(b"").digest()
    if len(hashes) == 1:
        return hashes[0]
    middle = split(len(hashes))
    return node_hash(defined_root(hashes[:middle]), defined_root(hashes[middle:]))


def defined_path(number, hashes):
    """RFC 9162, 2.1.3.1."""
    if len(hashes) == 1:
        return []
    middle = split(len(hashes))
    if number < middle:
        return [*defined_path(number, hashes[:middle]), defined_root(hashes[middle:])]
    return [*defined_path(number - middle, hashes[middle:]), defined_root(hashes[:middle])]


def defined_proof(older, hashes, is_whole=True):  # noqa: FBT002 (as the standard writes it)
    """RFC 9162, 2.1.4.1."""
    if older == len(hashes):
        return [] if is_whole else [defined_root(hashes)]
    middle = split(len(hashes))
    if older <= middle:
        return [*defined_proof(older, hashes[:middle], is_whole), defined_root(hashes[middle:])]
    inner = defined_proof(older - middle, hashes[middle:], False)  # noqa: FBT003
    return [*inner, defined_root(hashes[:middle])]


@pytest.mark.parametrize("size", range(9))
def test_the_roots_of_the_shared_eight_leaves(size):
    assert root_over([leaf_hash(entry) for entry in ENTRIES[:size]]).hex() == ROOTS[size]


@given(sizes)
def test_a_root_is_that_of_the_definition(size):
    assert tree(size).root() == defined_root(leaves(size))


@given(st.integers(0, 70))
def test_a_tree_that_grows_leaf_by_leaf_has_the_same_root(size):
    peaks = Peaks()
    for leaf in leaves(size):
        peaks.push(leaf)
    assert peaks.root() == defined_root(leaves(size))


def test_a_tree_of_nothing_has_the_hash_of_nothing():
    assert Tree(0, lambda _start, _end: []).root() == EMPTY


@given(st.data(), sizes)
def test_a_path_is_that_of_the_definition_and_leads_to_the_root(data, size):
    number = data.draw(st.integers(0, size - 1))
    path = tree(size).inclusion(number)
    assert path == defined_path(number, leaves(size))
    facts = {"size": size, "path": path, "root": tree(size).root()}
    assert is_included(leaf=leaves(size)[number], number=number, **facts)


@given(st.data(), sizes)
def test_a_proof_of_growth_is_that_of_the_definition_and_holds(data, size):
    older = data.draw(st.integers(1, size))
    path = tree(size).consistency(older)
    assert path == defined_proof(older, leaves(size))
    roots = {"old_root": tree(older).root(), "new_root": tree(size).root()}
    assert is_continued(older=older, newer=size, path=path, **roots)


@given(st.data(), st.integers(2, 70))
def test_no_other_leaf_number_or_root_passes(data, size):
    number, other = data.draw(st.permutations(range(size)).map(lambda order: order[:2]))
    path, root = tree(size).inclusion(number), tree(size).root()
    leaf = leaves(size)[number]
    assert not is_included(
        leaf=leaf_hash(b"forged"), number=number, size=size, path=path, root=root
    )
    assert not is_included(leaf=leaf, number=other, size=size, path=path, root=root)
    assert not is_included(leaf=leaf, number=number, size=size, path=path, root=leaf_hash(b"else"))
    assert not is_included(leaf=leaf, number=number, size=size, path=[*path, root], root=root)


@given(st.data(), st.integers(2, 70))
def test_a_changed_past_does_not_pass_as_growth(data, size):
    older = data.draw(st.integers(1, size - 1))
    changed = data.draw(st.integers(0, older - 1))
    hashes = leaves(size)
    hashes[changed] = leaf_hash(b"forged")
    forged = Tree(size, lambda start, end: hashes[start:end])
    path = forged.consistency(older)
    roots = {"old_root": tree(older).root(), "new_root": forged.root()}
    assert not is_continued(older=older, newer=size, path=path, **roots)


@pytest.mark.parametrize(("older", "newer"), [(0, 5), (6, 5), (-1, 5)])
def test_a_size_that_proves_nothing_is_refused(older, newer):
    """The vectors that RFC 9162 leaves open want size 0 refused."""
    assert not is_continued(older=older, newer=newer, path=[], old_root=EMPTY, new_root=EMPTY)
    with pytest.raises(ValueError, match="no-such-size"):
        tree(newer).consistency(older)


def test_a_leaf_beyond_the_tree_has_no_path():
    with pytest.raises(ValueError, match="no-such-leaf"):
        tree(5).inclusion(5)


def test_known_branches_spare_the_reading_and_change_nothing():
    size, asked = 3 * BRANCH + 5, []
    hashes = leaves(size)

    def read(start, end):
        asked.append((start, end))
        return hashes[start:end]

    known = {number: root_over(hashes[number * BRANCH :][:BRANCH]) for number in range(3)}
    told = Tree(size, read, known)
    assert told.root() == root_over(hashes)
    assert asked == [(3 * BRANCH, size)]
    assert told.inclusion(2000) == tree(size).inclusion(2000)
    assert told.consistency(1500) == tree(size).consistency(1500)


@pytest.mark.parametrize("count", [1, 2, 3, 7, 40, BRANCH - 1, BRANCH, BRANCH + 1, 3 * BRANCH + 5])
def test_many_paths_at_once_are_those_asked_for_one_by_one(count):
    whole = tree(count)
    wanted = {0, count // 3, count // 2, count - 1, min(count - 1, BRANCH)}
    assert dict(whole.inclusions(wanted)) == {leaf: whole.inclusion(leaf) for leaf in wanted}


def test_many_paths_read_each_branch_twice_at_most():
    hashes, reads = leaves(3 * BRANCH), []
    whole = Tree(len(hashes), lambda start, end: reads.append(start) or hashes[start:end])
    assert len(list(whole.inclusions(range(BRANCH + 20)))) == BRANCH + 20
    assert len(reads) == 5


@pytest.mark.parametrize("wanted", [[-1], [3], [0, 7]])
def test_paths_of_leaves_that_are_not_there_are_refused(wanted):
    with pytest.raises(ValueError, match="no-such-leaf"):
        list(tree(3).inclusions(wanted))


def test_no_leaf_needs_no_path():
    assert list(tree(3).inclusions([])) == []
