"""Whether the book is still what its checkpoints hold.

A digest is written beside the rows it covers, so whoever changes both is not found by it.
The leaves and roots of the checkpoints find that, and a printed root finds whoever changes
those too: give it to `disagreement`.
"""

from collections.abc import Iterator
from datetime import timedelta
from itertools import count

from django.db.models import Exists, OuterRef, QuerySet, Subquery

from inventory.calculations.entries import change_content, change_digest, entry_hash
from inventory.calculations.merkle import BRANCH, Peaks, root_over
from inventory.models import Branch, Change, Checkpoint, Leaf, Posting
from inventory.queries.checkpoints import CHANGE, KINDS, WINDOW, last_checkpoint

AT_ONCE = 5_000
LONGEST_ENTRY = timedelta(hours=1)  # from the moment an entry says to its being in the book


def changed_entries() -> Iterator[str]:
    """Yield entries that are not what their leaf holds."""
    postings = with_leaf(Posting).filter(leaf__isnull=False)
    for key, digest, leaf in postings.values_list("pk", "digest", "leaf").iterator(AT_ONCE):
        if entry_hash(digest) != leaf:
            yield f"{Posting.number_of(key)}: was changed after a checkpoint held it"
    changes = with_leaf(Change).filter(leaf__isnull=False)
    for *row, leaf in changes.values_list(*CHANGE, "leaf").iterator(AT_ONCE):
        content = change_content(**dict(zip(CHANGE, row, strict=True)))
        if entry_hash(change_digest(content)) != leaf:
            yield f"change {content['uuid']}: was changed after a checkpoint held it"


def with_leaf(model) -> QuerySet:
    """Return the rows in order, each with the hash of its leaf."""
    leaf = Leaf.objects.filter(uuid=OuterRef("uuid"), kind=KINDS[model]).values("hash")
    return model.objects.annotate(leaf=Subquery(leaf)).order_by("pk")


def removed_entries() -> Iterator[str]:
    """Yield leaves whose entry is gone."""
    for model, kind in KINDS.items():
        here = Exists(model.objects.filter(uuid=OuterRef("uuid")))
        gone = Leaf.objects.filter(kind=kind).exclude(here).order_by("number")
        for number, uuid in gone.values_list("number", "uuid").iterator(AT_ONCE):
            yield f"entry {number} ({uuid}): was taken out of the book after a checkpoint held it"


def added_entries() -> Iterator[str]:
    """Yield entries that should be in the last checkpoint by what they say of themselves, and are not."""
    last = last_checkpoint()
    if last is None:
        return
    since = last.made_at - LONGEST_ENTRY
    for model, key in ((Posting, last.last_posting), (Change, last.last_change)):
        loose = with_leaf(model).filter(leaf=None)
        late = loose.filter(pk__lte=key - WINDOW) | loose.filter(recorded_at__lt=since)
        for row in late.iterator(AT_ONCE):
            name = row.number if model is Posting else f"change {row.uuid}"
            yield f"{name}: says it is older than {last.number}, which does not hold it"


def wrong_roots() -> Iterator[str]:
    """Yield places missing in the tree, and branches and checkpoints whose root is another now."""
    wanted = dict(Checkpoint.objects.values_list("size", "root"))
    branches = dict(Branch.objects.values_list("number", "root"))
    peaks, branch = Peaks(), []
    leaves = Leaf.objects.order_by("number").values_list("number", "hash")
    for place, (number, text) in zip(count(), leaves.iterator(AT_ONCE), strict=False):
        if number != place:
            yield f"entry {place}: has no leaf"
            return
        peaks.push(bytes.fromhex(text))
        branch.append(bytes.fromhex(text))
        if len(branch) == BRANCH:
            if root_over(branch).hex() != branches.get(number // BRANCH):
                yield f"branch {number // BRANCH}: its root is another now"
            branch = []
        if (root := wanted.pop(peaks.size, None)) and peaks.root().hex() != root:
            yield f"checkpoint of {peaks.size} entries: its root is another now"
    for size in sorted(wanted):
        yield f"checkpoint of {size} entries: the tree has only {peaks.size}"


def disagreement(size: int, root: str) -> str:
    """Return why a root that was printed for a size is not that of the book, empty when it is."""
    leaves = Leaf.objects.filter(number__lt=size).order_by("number").values_list("hash", flat=True)
    peaks = Peaks()
    for text in leaves.iterator(AT_ONCE):
        peaks.push(bytes.fromhex(text))
    if peaks.size < size:
        return f"the book holds {peaks.size} entries in checkpoints, the copy says {size}"
    found = peaks.root().hex()
    return "" if found == root.lower() else f"the root over {size} entries is {found}"


CHECKS = {
    "removed": removed_entries,
    "changed": changed_entries,
    "added": added_entries,
    "roots": wrong_roots,
}
