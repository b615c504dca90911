"""Checkpoints: giving every new entry its place in the tree, and writing the root down."""

from uuid import UUID

from django.db import connection, transaction
from django.db.models import Max
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from inventory.actions.refusals import refusal
from inventory.actions.row_counts import count_rows
from inventory.calculations.entries import entry_hash
from inventory.calculations.merkle import BRANCH, root_over
from inventory.models import Branch, Change, Checkpoint, Leaf, Posting
from inventory.queries.checkpoints import (
    entries_since,
    last_checkpoint,
    leaf_hashes,
    tree_of,
)

AT_ONCE = 5_000
TURN = 7_164_239  # any number; whoever makes a checkpoint on PostgreSQL waits for it


@transaction.atomic
def make_checkpoint(*, key: UUID, by=None) -> Checkpoint:
    """Write down the root over every entry of the book; `by` is None when the clock makes it.

    When nothing was entered since the last one, that is returned. A repeated id changes
    nothing. As it is made once a day, SQLite counts its rows with it. Refuses `empty` while the
    book has no entry.
    """
    if connection.vendor == "postgresql":
        with connection.cursor() as cursor:
            cursor.execute("SELECT pg_advisory_xact_lock(%s)", [TURN])
    if done := Checkpoint.objects.filter(uuid=key).first():
        return done
    last = last_checkpoint()
    size = last.size if last else 0
    entries = entries_since(last)
    if not entries and last:
        return last
    if not entries:
        raise refusal(
            "empty", _("Nothing is in the book yet; make a checkpoint after the first entry.")
        )
    grow_tree(size, entries)
    count_rows()
    size += len(entries)
    return Checkpoint.objects.create(
        uuid=key,
        size=size,
        root=tree_of(size).root().hex(),
        made_at=timezone.now(),
        made_by=by,
        last_posting=Posting.objects.aggregate(pk=Max("pk"))["pk"] or 0,
        last_change=Change.objects.aggregate(pk=Max("pk"))["pk"] or 0,
    )


def grow_tree(size: int, entries: list[tuple]) -> None:
    """Append a leaf for each entry to a tree of that size, and the branches that are full now."""
    for start in range(0, len(entries), AT_ONCE):
        some = enumerate(entries[start : start + AT_ONCE], start=size + start)
        Leaf.objects.bulk_create(
            [
                Leaf(number=number, uuid=uuid, kind=kind, hash=entry_hash(digest))
                for number, (_at, uuid, kind, digest) in some
            ]
        )
    full = range(size // BRANCH, (size + len(entries)) // BRANCH)
    Branch.objects.bulk_create([Branch(number=number, root=branch_root(number)) for number in full])


def branch_root(number: int) -> str:
    """Return the root (hex) over the leaves of a full branch."""
    return root_over(leaf_hashes(number * BRANCH, (number + 1) * BRANCH)).hex()
