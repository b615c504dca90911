"""Entries of the book as anyone may check them: their content, their leaf and the path to a root.

The content is what the digest covers (RFC 8785), so that its SHA-256 is the data of the leaf.
There may be as many as the book has: they are read a few hundred at a time, and handed on one by one.
"""

from array import array
from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache

from django.db.models import OuterRef, QuerySet, Subquery, Sum

from inventory.calculations.digests import posting_content, transfer_content
from inventory.calculations.entries import change_content
from inventory.models import Change, Checkpoint, Leaf, Posting, Transfer
from inventory.queries.checkpoints import CHANGE, KINDS, leaf_hashes, tree_of
from inventory.queries.verification import CONTENT, HEAD, LINE

AT_ONCE, NAMES_AT_ONCE = 500, 5_000
POSTING = Leaf.Kind.POSTING
BRANCHES = 2  # whose leaves are remembered from one page of proofs to the next
KEY = "q"  # the type of an array of places: eight bytes each


@dataclass(frozen=True)
class Entry:
    """A posting or a change of the book: its name, its place in the tree and its content."""

    name: str
    kind: str
    leaf: int
    content: dict


@dataclass(frozen=True)
class SealedEntry(Entry):
    """An entry under a checkpoint, with its path (hex)."""

    path: list[str]


def leaves_of(rows: QuerySet, checkpoint: Checkpoint) -> list[int]:
    """Return the places in the tree of postings or changes that a checkpoint holds, in order."""
    held = Leaf.objects.filter(kind=KINDS[rows.model], number__lt=checkpoint.size)
    found = held.filter(uuid__in=rows.order_by().values("uuid"))
    return list(found.values_list("number", flat=True))


def spans_of(leaves: Iterable[int]) -> list[list[int]]:
    """Return places in order as spans: the first of each, and how many follow one on another.

    >>> spans_of([3, 4, 5, 9])
    [[3, 3], [9, 1]]
    """
    spans = []
    for leaf in leaves:
        if spans and leaf == sum(spans[-1]):
            spans[-1][1] += 1
        else:
            spans.append([leaf, 1])
    return spans


def leaves_in(spans: Iterable[Sequence[int]]) -> array:
    """Return the places of some spans, eight bytes each.

    >>> list(leaves_in([[3, 3], [9, 1]]))
    [3, 4, 5, 9]
    """
    return array(KEY, (leaf for first, count in spans for leaf in range(first, first + count)))


def places_at(leaves: Sequence[int]) -> Iterator[list[tuple]]:
    """Yield the (place, kind, UUID) of the entries at some places in order, a few hundred at a time."""
    for start in range(0, len(leaves), AT_ONCE):
        found = Leaf.objects.filter(number__in=leaves[start : start + AT_ONCE])
        yield list(found.order_by("number").values_list("number", "kind", "uuid"))


def entries_at(leaves: Sequence[int]) -> Iterator[Entry]:
    """Yield the entries at some places of the tree, which are in order."""
    for keys in places_at(leaves):
        found = contents_of(Posting, keys) | contents_of(Change, keys)
        for number, kind, uuid in keys:
            name, content = found[kind, uuid]
            yield Entry(name, kind, number, content)


def sealed_entries(leaves: Sequence[int], checkpoint: Checkpoint) -> Iterator[SealedEntry]:
    """Yield the entries at some places of the tree, which are in order, with their proofs."""
    paths = paths_at(leaves, checkpoint)
    for entry in entries_at(leaves):
        yield SealedEntry(**vars(entry), path=[each.hex() for each in next(paths)])


def paths_at(leaves: Sequence[int], checkpoint: Checkpoint) -> Iterator[list[bytes]]:
    """Yield the path of each of some leaves, which are in order, reckoned a few hundred at a time."""
    tree = tree_of(checkpoint.size)
    tree.read = lru_cache(BRANCHES)(leaf_hashes)
    for start in range(0, len(leaves), AT_ONCE):
        for _leaf, path in tree.inclusions(leaves[start : start + AT_ONCE]):
            yield path


def names_at(leaves: Sequence[int]) -> Iterator[tuple[str, str, int]]:
    """Yield the (name, kind, place) of the entries at some places, without reading what they say."""
    key = Posting.objects.filter(uuid=OuterRef("uuid")).order_by().values("pk")
    for start in range(0, len(leaves), NAMES_AT_ONCE):
        found = Leaf.objects.filter(number__in=leaves[start : start + NAMES_AT_ONCE])
        rows = found.order_by("number").values_list("number", "kind", Subquery(key))
        for number, kind, posting in rows:
            is_posting = kind == POSTING
            yield (Posting.number_of(posting) if is_posting else change_name(number)), kind, number


def moved_mg(leaves: Sequence[int]) -> int:
    """Return what all transfers of the entries at some places sum to, in mg."""
    total_mg = 0
    for keys in places_at(leaves):
        uuids = [uuid for _number, kind, uuid in keys if kind == POSTING]
        rows = Transfer.objects.filter(posting__uuid__in=uuids).order_by()
        total_mg += rows.aggregate(mg=Sum("mass_mg", default=0))["mg"]
    return total_mg


def change_name(leaf: int) -> str:
    """Return what a change is called: by its place."""
    return f"change-{leaf:05d}"


def contents_of(model, keys: list[tuple]) -> dict[tuple, tuple[str, dict]]:
    """Return the name and content of each posting, or each change, among some leaves."""
    kind = KINDS[model]
    places = {uuid: number for number, its_kind, uuid in keys if its_kind == kind}
    read = posting_contents if model is Posting else change_contents
    return {(kind, uuid): told for uuid, told in read(places).items()}


def posting_contents(places: dict) -> dict:
    """Return the number and the digested content of postings by their UUID."""
    heads = Posting.objects.filter(uuid__in=places)
    lines = defaultdict(list)
    rows = Transfer.objects.filter(posting__in=heads.order_by().values("pk"))
    for posting, *line in rows.order_by("posting", "pk").values_list(*LINE):
        lines[posting].append(transfer_content(*line))
    found = {}
    for pk, *fields, _digest in heads.values_list(*HEAD):
        content = posting_content(**dict(zip(CONTENT, fields, strict=True)))
        found[fields[0]] = Posting.number_of(pk), content | {"transfers": lines[pk]}
    return found


def change_contents(places: dict) -> dict:
    """Return a name and the digested content of changes by their UUID; a change is called by its place."""
    rows = Change.objects.filter(uuid__in=places).values_list(*CHANGE)
    return {
        row[0]: (
            change_name(places[row[0]]),
            change_content(**dict(zip(CHANGE, row, strict=True))),
        )
        for row in rows
    }
