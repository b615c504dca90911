"""Where a lot came from and where it went.

One recursive query fetches the closure, each lot once (UNION, never paths: their
number explodes once offcuts loop back). Reversals and what they reversed are left
out, then one sweep in topological order shares the mass out.
"""

from collections import defaultdict
from dataclasses import dataclass

from django.db import connection
from django.db.models import prefetch_related_objects

from inventory.calculations.traces import (
    allocate,
    origin_shares,
    pass_distribution,
    topological_order,
    uses,
)
from inventory.models import Lot, Transfer
from inventory.queries.postings import standing_transfers

ANCESTORS = """
WITH RECURSIVE up(lot) AS (
    SELECT CAST(%s AS bigint)
    UNION
    SELECT t.source_id FROM up JOIN inventory_transfer t ON t.target_id = up.lot
    WHERE t.source_id IS NOT NULL AND t.reverses_id IS NULL
)
SELECT t.source_id, t.target_id, t.mass_mg, t.melted, t.role
FROM up JOIN inventory_transfer t ON t.target_id = up.lot
WHERE t.reverses_id IS NULL
  AND NOT EXISTS (SELECT 1 FROM inventory_transfer r WHERE r.reverses_id = t.id)
"""

DESCENDANTS = """
WITH RECURSIVE down(lot) AS (
    SELECT CAST(%s AS bigint)
    UNION
    SELECT t.target_id FROM down JOIN inventory_transfer t ON t.source_id = down.lot
    WHERE t.target_id IS NOT NULL AND t.reverses_id IS NULL
)
SELECT t.source_id, t.target_id, t.mass_mg, t.melted, t.role, l.in_mg
FROM down JOIN inventory_lot l ON l.id = down.lot
LEFT JOIN inventory_transfer t ON t.source_id = down.lot
  AND t.reverses_id IS NULL
  AND NOT EXISTS (SELECT 1 FROM inventory_transfer r WHERE r.reverses_id = t.id)
"""


@dataclass(frozen=True)
class Origin:
    """A lot that came from outside, with its share of the lot asked about."""

    lot: Lot
    share: float
    mass_mg: int


@dataclass(frozen=True)
class Use:
    """A lot, or with `lot` None an outside fate, that holds some of the lot asked about."""

    lot: Lot | None
    fate: str
    share: float
    mass_mg: int

    @property
    def fate_label(self):
        """The outside fate in words."""
        return Transfer.Role(self.fate).label if self.fate else ""


@dataclass(frozen=True)
class Segment:
    """One segment of a make-up strip; masses in mg, the colour as sRGB or empty."""

    label: str
    share: float
    mass_mg: int
    srgb: str = ""


@dataclass(frozen=True)
class MakeUp:
    """What a lot consists of, by origin class, by colour, by polymer and by melt passes."""

    by_origin: list[Segment]
    by_colour: list[Segment]
    by_polymer: list[Segment]
    by_passes: list[Segment]


def ancestor_edges(lot: Lot) -> list[tuple]:
    """Return every standing transfer into the lot and its ancestors, in one query."""
    with connection.cursor() as cursor:
        cursor.execute(ANCESTORS, [lot.pk])
        return cursor.fetchall()


def descendant_edges(lot: Lot) -> tuple[list[tuple], dict[int, int]]:
    """Return every standing transfer out of the lot and its descendants, and what each lot took."""
    with connection.cursor() as cursor:
        cursor.execute(DESCENDANTS, [lot.pk])
        rows = cursor.fetchall()
    in_mg = {row[0]: row[5] for row in rows if row[0] is not None}
    edges = [row[:5] for row in rows if row[0] is not None]
    ends = {edge[1] for edge in edges} - in_mg.keys() - {None}
    for start in range(0, len(ends), 10_000):
        some = sorted(ends)[start : start + 10_000]
        in_mg |= dict(Lot.objects.filter(pk__in=some).values_list("pk", "in_mg"))
    return edges, in_mg | {lot.pk: lot.in_mg}


def origins_of(lot: Lot, edges: list[tuple] | None = None) -> list[Origin]:
    """Return the lots from outside that a lot consists of, largest share first.

    Shares sum to 1 within 1e-9, masses sum to what the lot took to the milligram.
    `edges` are its ancestor edges where the caller has them.
    """
    shares = origin_shares(lot.pk, ancestor_edges(lot) if edges is None else edges)
    masses = allocate(lot.in_mg, shares) if shares else {}
    lots = lots_by_key(shares)
    rows = [Origin(lots[pk], share, masses[pk]) for pk, share in shares.items()]
    return sorted(rows, key=lambda row: (-row.share, row.lot.pk))


def uses_of(lot: Lot) -> list[Use]:
    """Return who holds some of a lot now, and what left the workshop, largest first.

    Shares sum to 1 within 1e-9, masses sum to what the lot took to the milligram.
    """
    if not lot.in_mg:
        return []
    edges, in_mg = descendant_edges(lot)
    held, gone = uses(lot.pk, edges, in_mg)
    amounts = {(pk, ""): mg for pk, mg in held.items()} | {(None, f): mg for f, mg in gone.items()}
    masses = allocate(lot.in_mg, amounts)
    lots = lots_by_key(held)
    rows = [
        Use(lots.get(pk), fate, amount / lot.in_mg, masses[pk, fate])
        for (pk, fate), amount in amounts.items()
    ]
    return sorted(rows, key=lambda row: (-row.share, row.fate, row.lot.pk if row.lot else 0))


def lots_by_key(keys) -> dict[int, Lot]:
    """Return lots with their material and delivery, by primary key."""
    related = ("polymer", "colour", "bin", "delivery__source")
    found = {}
    wanted = sorted(keys)
    for start in range(0, len(wanted), 10_000):
        rows = Lot.objects.select_related(*related).filter(pk__in=wanted[start : start + 10_000])
        found |= {lot.pk: lot for lot in rows}
    return found


def polymer_shares(lot: Lot) -> dict[str, float]:
    """Return the share of each polymer in a lot, by symbol of the polymers that came in."""
    origins = origins_of(lot)
    shares = {}
    for row in origins:
        symbol = row.lot.polymer.symbol if row.lot.polymer else ""
        shares[symbol] = shares.get(symbol, 0.0) + row.share
    return shares


def make_up_of(lot: Lot, edges: list[tuple] | None = None) -> MakeUp:
    """Return the make-up of a lot by origin class, colour, polymer and melt passes.

    `edges` are its ancestor edges where the caller has them.
    """
    edges = ancestor_edges(lot) if edges is None else edges
    shares = origin_shares(lot.pk, edges)
    lots = lots_by_key(shares)
    colours = {each.colour.name: each.colour.srgb for each in lots.values()}
    passes = pass_distribution(lot.pk, edges)

    def segments(name_of):
        sums = {}
        for pk, share in shares.items():
            sums[name_of(lots[pk])] = sums.get(name_of(lots[pk]), 0.0) + share
        return strip(lot.in_mg, dict(sorted(sums.items(), key=lambda item: -item[1])))

    return MakeUp(
        by_origin=segments(lambda each: each.get_origin_class_display()),
        by_colour=strip_colours(segments(lambda each: each.colour.name), colours),
        by_polymer=segments(lambda each: each.polymer.symbol if each.polymer else "?"),
        by_passes=strip(lot.in_mg, {str(count): share for count, share in passes.items()}),
    )


def strip(total_mg: int, shares: dict[str, float]) -> list[Segment]:
    """Return shares as segments whose masses sum to the total."""
    masses = allocate(total_mg, shares) if shares else {}
    return [Segment(str(label), share, masses[label]) for label, share in shares.items()]


def strip_colours(segments: list[Segment], srgb: dict[str, str]) -> list[Segment]:
    """Return segments in the true colours of the material."""
    return [Segment(s.label, s.share, s.mass_mg, srgb.get(s.label, "")) for s in segments]


def steps_back(lot: Lot) -> list[tuple]:
    """Return the standing transfers behind a lot so that each stands after those it rests on."""
    edges = ancestor_edges(lot)
    place = {pk: number for number, pk in enumerate(topological_order(edges))}
    return sorted(edges, key=lambda edge: place[edge[1]] if edge[1] is not None else -1)


@dataclass(frozen=True)
class Step:
    """What went into one lot: the lot, and its standing transfers."""

    lot: Lot
    taken: list[Transfer]


def lots_behind(edges: list[tuple]) -> list[int]:
    """Return the primary keys of the lots on the way, each before those it was filled from."""
    filled = {edge[1] for edge in edges}
    return [pk for pk in reversed(topological_order(edges)) if pk in filled]


def steps_into(keys: list[int]) -> list[Step]:
    """Return what went into each of some lots, in the order of the keys, in two queries."""
    ends = ("source__bin", "source__delivery", "source__polymer", "source__colour")
    rows = standing_transfers().filter(target__in=keys).select_related("posting", *ends)
    taken = defaultdict(list)
    for row in rows.order_by("id"):
        taken[row.target_id].append(row)
    lots = lots_by_key(keys)
    return [Step(lots[pk], taken[pk]) for pk in keys]


def with_makers(uses: list[Use]) -> list[Use]:
    """Return the uses with the postings that filled their lots at hand, in one query."""
    prefetch_related_objects([use.lot for use in uses if use.lot], "filled_by")
    return uses
