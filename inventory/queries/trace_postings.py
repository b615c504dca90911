"""The postings of a trace: all that moved what is behind a lot, or what is ahead of it."""

from inventory.models import Lot, Posting
from inventory.queries.family_trees import edges_ahead, edges_behind
from inventory.queries.pasts import Past, transfers_then
from inventory.queries.postings import posting_list
from inventory.queries.traces import batches


def trace_postings(lot: Lot, *, is_forward: bool, past: Past) -> list[int]:
    """Return the primary keys of the postings back from a lot, or forward from it, the newest first.

    Those that stand: what was reversed moved nothing in the end.
    """
    edges = edges_ahead(lot, past) if is_forward else edges_behind(lot, past)
    end = "source" if is_forward else "target"
    lots = {edge[0] if is_forward else edge[1] for edge in edges}
    rows, found = transfers_then(past).order_by(), set()
    for some in batches(lots):
        found |= set(rows.filter(**{f"{end}__in": some}).values_list("posting", flat=True))
    return sorted(found, reverse=True)


def postings_named(keys: list[int]) -> list[Posting]:
    """Return postings with all that a list row prints, in the order of their keys."""
    found = posting_list().in_bulk(keys)
    return [found[key] for key in keys]
