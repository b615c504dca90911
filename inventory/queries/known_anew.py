"""Lots of which the book learned better: by a reversal or a correction behind them, or an identification.

What was made after an act was made by the book as it then was, so the walk ahead from what an act
touched takes no transfer that is newer than the act. Most mistakes are mended within minutes, and
little is ahead of them then.
"""

import json
from collections import defaultdict
from datetime import datetime
from typing import NamedTuple

from django.db import connection
from django.db.models import Q

from inventory.models import Change, Posting, Transfer
from inventory.queries.closures import FORTH, STANDING, columns_of

EVER = 2**62  # more than the primary key of any transfer
AHEAD = {
    "sqlite": f"""
WITH RECURSIVE down(lot, until) AS (
    SELECT json_extract(value, '$[0]'), json_extract(value, '$[1]') FROM json_each(%s)
    UNION
    SELECT t.target_id, down.until
    FROM down LEFT JOIN inventory_transfer t ON t.source_id = down.lot AND t.id < down.until
    AND {FORTH["sqlite"]} AND {STANDING}
)
SELECT json_group_array(lot) FILTER (WHERE lot > 0), json_group_array(until) FILTER (WHERE lot > 0)
FROM down
""",  # noqa: S608 (our own words, no one else's)
    "postgresql": f"""
WITH RECURSIVE down(lot, until) AS (
    SELECT (value ->> 0)::bigint, (value ->> 1)::bigint FROM jsonb_array_elements(%s::jsonb)
    UNION
    SELECT t.target_id, down.until
    FROM down JOIN inventory_transfer t ON t.source_id = down.lot AND t.id < down.until
    WHERE t.target_id IS NOT NULL AND {FORTH["postgresql"]} AND {STANDING}
)
SELECT array_agg(lot), array_agg(until) FROM down
""",  # noqa: S608 (our own words, no one else's)
}


class Mending(NamedTuple):
    """When the book learned better, of which lots, and the primary key that later transfers begin with."""

    recorded_at: datetime
    lots: set[int]
    until: int


def known_anew() -> dict[int, datetime]:
    """Return when the book last learned better of each lot, by primary key, in three queries.

    Lots are left out that were made after what is behind them was mended.
    """
    mendings = [*mended_postings(), *identifications()]
    starts = json.dumps(sorted((lot, each.until) for each in mendings for lot in each.lots))
    moments, found = {each.until: each.recorded_at for each in mendings}, {}
    for lot, until in zip(*columns_of(AHEAD[connection.vendor], starts), strict=True):
        found[lot] = max(found.get(lot, moments[until]), moments[until])
    return found


def mended_postings() -> list[Mending]:
    """Return what reversals and corrections booked; the postings of one correction share their moment."""
    anew = Posting.objects.filter(Q(reverses__gt=0) | Q(replaces__gt=0))  # few, by their indexes
    rows = Transfer.objects.filter(posting__in=anew.order_by()).order_by()
    lots, newest = defaultdict(set), defaultdict(int)
    for at, pk, *ends in rows.values_list("posting__recorded_at", "pk", "source", "target"):
        lots[at] |= {lot for lot in ends if lot}
        newest[at] = max(newest[at], pk)
    return [Mending(at, lots[at], newest[at] + 1) for at in lots]


def identifications() -> list[Mending]:
    """Return of which lots somebody said later what they are; what was made of them since counts too."""
    said = Change.objects.filter(verb="identify").values_list("recorded_at", "row")
    return [Mending(at, {lot}, EVER + number) for number, (at, lot) in enumerate(said)]
