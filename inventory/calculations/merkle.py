"""A Merkle tree over the entries of the book, after RFC 9162 section 2.1.

A root of 32 bytes stands for every entry in its order. Whoever keeps a copy of an old
root outside the workshop can check that an entry was in the book then (inclusion) and
that the book only grew since (consistency), from about log2(n) hashes each.

    leaf = SHA-256(0x00 || data)        node = SHA-256(0x01 || left || right)

Hashes are bytes. The book has many leaves and roots are asked for often, so a tree may
be told the roots of whole branches of `BRANCH` leaves, which never change once full.
"""

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from hashlib import sha256
from itertools import groupby

BRANCH = 1024  # leaves; a power of two, so that a branch is a node of every larger tree
EMPTY = sha256(b"").digest()

Reader = Callable[[int, int], Sequence[bytes]]


def leaf_hash(octets: bytes) -> bytes:
    """Return the hash of an entry.

    >>> leaf_hash(b"").hex()[:8]
    '6e340b9c'
    """
    return sha256(b"\x00" + octets).digest()


def node_hash(left: bytes, right: bytes) -> bytes:
    """Return the hash of a node above two others."""
    return sha256(b"\x01" + left + right).digest()


def split(size: int) -> int:
    """Return the largest power of two below a size of at least 2.

    >>> [split(size) for size in (2, 3, 4, 5, 8, 9)]
    [1, 2, 2, 4, 4, 8]
    """
    return 1 << (size - 1).bit_length() - 1


def root_over(leaves: Sequence[bytes]) -> bytes:
    """Return the root over leaf hashes in memory; an empty tree has the SHA-256 of nothing."""
    level = list(leaves)
    if not level:
        return EMPTY
    while len(level) > 1:
        pairs = zip(level[::2], level[1::2], strict=False)
        level = [node_hash(*pair) for pair in pairs] + level[len(level) & ~1 :]
    return level[0]


def levels_over(leaves: Sequence[bytes]) -> list[list[bytes]]:
    """Return every level of a tree over some leaf hashes, the leaves first, the root last."""
    levels = [list(leaves)]
    while len(level := levels[-1]) > 1:
        pairs = zip(level[::2], level[1::2], strict=False)
        levels.append([node_hash(*pair) for pair in pairs] + level[len(level) & ~1 :])
    return levels


def siblings(levels: Sequence[Sequence[bytes]], place: int) -> list[bytes]:
    """Return the hashes beside the way from a leaf to the root, the nearest first."""
    path = []
    for level in levels[:-1]:
        path += level[place ^ 1 : (place ^ 1) + 1]  # at an odd end there is none
        place >>= 1
    return path


class Tree:
    """A tree of `size` leaves, which `read(start, end)` returns; `branches` are known roots by number."""

    def __init__(self, size: int, read: Reader, branches: Mapping[int, bytes] | None = None):
        self.size, self.read, self.branches = size, read, branches or {}

    def root(self) -> bytes:
        """Return the root over all leaves."""
        return self._range(0, self.size) if self.size else EMPTY

    def inclusion(self, leaf: int) -> list[bytes]:
        """Return the path that shows a leaf (from 0) to be in the tree, nearest sibling first.

        Raises ValueError when there is no such leaf.
        """
        if not 0 <= leaf < self.size:
            raise ValueError("no-such-leaf")
        path, start, end = [], 0, self.size
        while end - start > 1:
            middle = start + split(end - start)
            if leaf < middle:
                path.append(self._range(middle, end))
                end = middle
            else:
                path.append(self._range(start, middle))
                start = middle
        return path[::-1]

    def inclusions(self, leaves: Iterable[int]) -> Iterator[tuple[int, list[bytes]]]:
        """Yield each of some leaves, in their order, with its path; each branch is read once.

        Raises ValueError when there is no such leaf.
        """
        wanted = sorted(set(leaves))
        if wanted and not 0 <= wanted[0] <= wanted[-1] < self.size:
            raise ValueError("no-such-leaf")
        starts = range(0, self.size if wanted else 0, BRANCH)
        above = levels_over([self._range(at, min(at + BRANCH, self.size)) for at in starts])
        for branch, members in groupby(wanted, key=lambda leaf: leaf // BRANCH):
            start = branch * BRANCH
            within = levels_over(self.read(start, min(start + BRANCH, self.size)))
            for leaf in members:
                yield leaf, siblings(within, leaf - start) + siblings(above, branch)

    def consistency(self, older: int) -> list[bytes]:
        """Return the path that shows the first `older` leaves to be the tree of that size.

        Raises ValueError unless 0 < older <= size; a tree of none is in every tree.
        """
        if not 0 < older <= self.size:
            raise ValueError("no-such-size")
        path, start, end, is_whole = [], 0, self.size, True
        while older != end:
            middle = start + split(end - start)
            if older <= middle:
                path.append(self._range(middle, end))
                end = middle
            else:
                path.append(self._range(start, middle))
                start, is_whole = middle, False
        return ([] if is_whole else [self._range(start, end)]) + path[::-1]

    def _range(self, start: int, end: int) -> bytes:
        """Return the root over some leaves that lie under one node."""
        known = self.branches.get(start // BRANCH) if end - start == BRANCH else None
        if known is not None:
            return known
        if end - start <= BRANCH:
            return root_over(self.read(start, end))
        middle = start + split(end - start)
        return node_hash(self._range(start, middle), self._range(middle, end))


class Peaks:
    """A tree that grows leaf by leaf and keeps only its peaks: the roots of its full subtrees."""

    def __init__(self):
        self.size, self.peaks = 0, []

    def push(self, leaf: bytes) -> None:
        """Append a leaf hash."""
        self.size += 1
        for _ in range((self.size & -self.size).bit_length() - 1):
            leaf = node_hash(self.peaks.pop(), leaf)
        self.peaks.append(leaf)

    def root(self) -> bytes:
        """Return the root over all leaves so far."""
        if not self.peaks:
            return EMPTY
        found = self.peaks[-1]
        for peak in reversed(self.peaks[:-1]):
            found = node_hash(peak, found)
        return found


def is_included(*, leaf: bytes, number: int, size: int, path: Sequence[bytes], root: bytes) -> bool:
    """Return whether a path leads from a leaf hash to a root (RFC 9162, 2.1.3.2)."""
    sides = _sides(number, size - 1, len(path)) if 0 <= number < size else None
    if sides is None:
        return False
    for sibling, is_left in zip(path, sides, strict=True):
        leaf = node_hash(sibling, leaf) if is_left else node_hash(leaf, sibling)
    return leaf == root


def is_continued(
    *, older: int, newer: int, path: Sequence[bytes], old_root: bytes, new_root: bytes
) -> bool:
    """Return whether a path shows a newer tree to begin with an older one (RFC 9162, 2.1.4.2).

    A size of 0 is refused: the standard leaves it undefined and it would prove nothing.
    """
    if not 0 < older <= newer:
        return False
    if older == newer:
        return not path and old_root == new_root
    is_whole_node = older & (older - 1) == 0
    first, *steps = [old_root, *path] if is_whole_node else path or [b""]
    under = (older - 1 ^ older).bit_length() - 1  # levels that lie wholly within the older tree
    sides = _sides(older - 1 >> under, newer - 1 >> under, len(steps))
    if sides is None:
        return False
    left = right = first
    for step, is_left in zip(steps, sides, strict=True):
        left = node_hash(step, left) if is_left else left
        right = node_hash(step, right) if is_left else node_hash(right, step)
    return left == old_root and right == new_root


def _sides(first: int, last: int, count: int) -> list[bool] | None:
    """Return for each step up whether the sibling stands on the left, or None for a path too short or long."""
    sides = []
    for _ in range(count):
        if last == 0:
            return None
        is_left = bool(first & 1) or first == last
        sides.append(is_left)
        while is_left and not first & 1 and first:
            first, last = first >> 1, last >> 1
        first, last = first >> 1, last >> 1
    return sides if last == 0 else None
