"""Checkpoints, the tree under them, and proofs that anyone may check without the book."""

from dataclasses import dataclass

from django.db.models import Exists, OuterRef, QuerySet

from inventory.calculations.entries import change_content, change_digest
from inventory.calculations.merkle import Tree
from inventory.models import Branch, Change, Checkpoint, Leaf, Posting

WINDOW = 10_000  # keys; two acts at once may be written in either order, but never so far apart
KINDS = {Posting: Leaf.Kind.POSTING, Change: Leaf.Kind.CHANGE}
CHANGE = [
    "uuid",
    "verb",
    "subject",
    "happened_at",
    "recorded_at",
    "by",
    "role",
    "reason",
    "fingerprint",
]


@dataclass(frozen=True)
class Proof:
    """Hashes (hex) that lead from one entry, or from an older checkpoint, to the root of a checkpoint."""

    checkpoint: Checkpoint
    path: list[str]
    leaf: Leaf | None = None
    older: Checkpoint | None = None


def checkpoint_list() -> QuerySet[Checkpoint]:
    """Return the checkpoints, newest first, with who made them."""
    return Checkpoint.objects.select_related("made_by")


def last_checkpoint() -> Checkpoint | None:
    """Return the newest checkpoint."""
    return Checkpoint.objects.first()


def entries_since(last: Checkpoint | None) -> list[tuple]:
    """Return (recorded_at, uuid, kind, digest) of every entry in no checkpoint, in the book's order."""
    posted = without_leaf(Posting, last.last_posting if last else 0)
    changed = without_leaf(Change, last.last_change if last else 0)
    rows = posted.values_list("recorded_at", "uuid", "digest")
    entries = [(at, uuid, Leaf.Kind.POSTING, digest) for at, uuid, digest in rows]
    for row in changed.values_list(*CHANGE):
        content = dict(zip(CHANGE, row, strict=True))
        digest = change_digest(change_content(**content))
        entries.append((content["recorded_at"], content["uuid"], Leaf.Kind.CHANGE, digest))
    return sorted(entries, key=lambda entry: (entry[0], str(entry[1]), entry[2]))


def without_leaf(model, last: int) -> QuerySet:
    """Return the rows near or beyond the last key that have no place in the tree."""
    leaves = Leaf.objects.filter(uuid=OuterRef("uuid"), kind=KINDS[model])
    return model.objects.filter(pk__gt=last - WINDOW).exclude(Exists(leaves)).order_by("pk")


def tree_of(size: int) -> Tree:
    """Return the tree of the first `size` entries, read from the book as it is asked."""
    branches = Branch.objects.values_list("number", "root")
    return Tree(size, leaf_hashes, {number: bytes.fromhex(root) for number, root in branches})


def leaf_hashes(start: int, end: int) -> list[bytes]:
    """Return the hashes of the leaves from start to before end."""
    rows = Leaf.objects.filter(number__gte=start, number__lt=end).order_by("number")
    return [bytes.fromhex(text) for text in rows.values_list("hash", flat=True)]


def inclusion_of(uuid, checkpoint: Checkpoint | None = None) -> Proof | None:
    """Return the proof that an entry is in a checkpoint, by default the newest; None when it is in none.

    Where an act made a posting and a change, the posting is meant.
    """
    checkpoint = checkpoint or last_checkpoint()
    leaf = Leaf.objects.filter(uuid=uuid).order_by("-kind").first()
    if checkpoint is None or leaf is None or leaf.number >= checkpoint.size:
        return None
    path = tree_of(checkpoint.size).inclusion(leaf.number)
    return Proof(checkpoint, [each.hex() for each in path], leaf=leaf)


def consistency_of(older: Checkpoint, newer: Checkpoint) -> Proof | None:
    """Return the proof that the book of an older checkpoint is the beginning of a newer one's.

    None when the older one is not older, or has no entries: that proves nothing.
    """
    if not 0 < older.size <= newer.size:
        return None
    path = tree_of(newer.size).consistency(older.size)
    return Proof(newer, [each.hex() for each in path], older=older)
