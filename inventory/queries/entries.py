"""Entries of the book as anyone may check them: their content, their leaf and the path to a root.

The content is what the digest covers (RFC 8785), so that its SHA-256 is the data of the leaf.
"""

from collections import defaultdict
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from django.db.models import QuerySet

from inventory.calculations.digests import posting_content, transfer_content
from inventory.calculations.entries import change_content
from inventory.models import Change, Checkpoint, Leaf, Posting, Transfer
from inventory.queries.checkpoints import CHANGE, KINDS, tree_of
from inventory.queries.traces import batches
from inventory.queries.verification import CONTENT, HEAD, LINE

AT_ONCE = 500


@dataclass(frozen=True)
class SealedEntry:
    """A posting or a change under a checkpoint: its name, place and content, and its path (hex)."""

    name: str
    kind: str
    leaf: int
    content: dict
    path: list[str]


def leaves_of(rows: QuerySet, checkpoint: Checkpoint) -> list[int]:
    """Return the places in the tree of postings or changes that a checkpoint holds, in order."""
    held = Leaf.objects.filter(kind=KINDS[rows.model], number__lt=checkpoint.size)
    found = held.filter(uuid__in=rows.order_by().values("uuid"))
    return list(found.values_list("number", flat=True))


def sealed_entries(leaves: Iterable[int], checkpoint: Checkpoint) -> Iterator[SealedEntry]:
    """Yield the entries at some places of the tree in their order, a few hundred read at a time."""
    wanted = sorted(set(leaves))
    paths = tree_of(checkpoint.size).inclusions(wanted)
    for some in batches(wanted, AT_ONCE):
        kinds = Leaf.objects.filter(number__in=some).order_by("number")
        keys = list(kinds.values_list("number", "kind", "uuid"))
        found = contents_of(Posting, keys) | contents_of(Change, keys)
        for number, kind, uuid in keys:
            _, path = next(paths)
            name, content = found[kind, uuid]
            yield SealedEntry(name, kind, number, content, [each.hex() for each in path])


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
        found[fields[0]] = Posting(pk=pk).number, content | {"transfers": lines[pk]}
    return found


def change_contents(places: dict) -> dict:
    """Return a name and the digested content of changes by their UUID; a change is called by its place."""
    rows = Change.objects.filter(uuid__in=places).values_list(*CHANGE)
    return {
        row[0]: (
            f"change-{places[row[0]]:05d}",
            change_content(**dict(zip(CHANGE, row, strict=True))),
        )
        for row in rows
    }
