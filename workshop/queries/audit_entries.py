"""The entries that the paper of an audit file prints: the first of each table, and how many there are of it."""

from collections.abc import Sequence
from dataclasses import dataclass

from django.db.models import Count, Sum

from inventory.models import Posting, Transfer
from inventory.queries.entries import Entry, entries_at
from inventory.queries.exports import slices
from workshop.queries.audit_answers import AT_ONCE, Places
from workshop.queries.audit_scopes import Scope

MOST_ROWS = 200  # of one table on paper; the ZIP has all


@dataclass(frozen=True)
class Shown:
    """The first entries for each table; the counts are of all there are.

    `undone` has the names of postings by UUID that corrections undo or replace.
    """

    postings: list[Entry]
    changes: list[Entry]
    corrections: list[Entry]
    transfers: int
    moved_mg: int
    changed: int
    corrected: int
    count: int
    undone: dict[str, str]


def entries_shown(scope: Scope, places: Places) -> Shown:
    """Return the entries of a scope that are printed, few however many there are."""
    postings, changes, corrections = (
        list(entries_at(some[:MOST_ROWS]))
        for some in (places.postings, places.changes, places.corrections)
    )
    transfers, moved_mg = transfers_in(scope.postings)
    return Shown(
        postings=postings,
        changes=changes,
        corrections=corrections,
        transfers=transfers,
        moved_mg=moved_mg,
        changed=len(places.changes),
        corrected=len(places.corrections),
        count=len(places.postings) + len(places.changes),
        undone=names_of_undone(corrections),
    )


def transfers_in(postings: Sequence[int]) -> tuple[int, int]:
    """Return how many transfers some postings have, by their keys, and what they sum to in mg."""
    count = total_mg = 0
    for some in slices(postings, AT_ONCE):
        rows = Transfer.objects.filter(posting__in=some).order_by()
        found = rows.aggregate(count=Count("pk"), mg=Sum("mass_mg", default=0))
        count, total_mg = count + found["count"], total_mg + found["mg"]
    return count, total_mg


def names_of_undone(corrections: list[Entry]) -> dict[str, str]:
    """Return what the postings are called that some undo or replace, by UUID."""
    contents = [entry.content for entry in corrections]
    uuids = {content[key] for content in contents for key in ("reverses", "replaces")} - {None}
    rows = Posting.objects.filter(uuid__in=uuids)
    return {str(uuid): Posting.number_of(pk) for pk, uuid in rows.values_list("pk", "uuid")}
