"""What deliveries brought with them from another workshop: their origins and melt passes, as shares.

A sweep ends at lots from outside. Where one of them came with a lineage, its share is split by
the origins that the document told, so that make-up and claims see those and not one source.
"""

import json
from collections import defaultdict
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from fractions import Fraction

from django.db import connection

from inventory.calculations.traces import SOURCE, Ordered, allocate
from inventory.models import ForeignOrigin, Lineage, Lot
from inventory.models.materials import OriginClass

AT_ONCE = 10_000  # as many keys as one statement may name
OWN = ("origin_class", "polymer__symbol", "colour__name", "colour__srgb", "delivery__source")
FOREIGN = (
    *("origin_class", "polymer__symbol", "colour", "srgb", "source"),
    *("foreign_id", "numerator", "denominator"),
)
PASSES = """
SELECT l.lot_id, p.count, p.numerator, p.denominator
FROM inventory_lineage l JOIN inventory_foreignpasses p ON p.lineage_id = l.id
WHERE l.lot_id IN (SELECT {keys})
"""
KEYS = {
    "sqlite": "value FROM json_each(%s)",
    "postgresql": "CAST(json_array_elements_text(%s) AS bigint)",
}


@dataclass(frozen=True)
class Facts:
    """What a make-up asks of where mass came from outside; a source abroad is a text, ours a key."""

    origin_class: str
    symbol: str
    colour: str
    srgb: str
    source: int | str | None = None

    @property
    def kept(self) -> tuple[int | str | None, str, str]:
        """What `custody_of` asks: the source, the origin class and the polymer."""
        return self.source, self.origin_class, self.symbol


Parts = Mapping[int, list[tuple[Facts, Fraction | int]]]


def parts_by_key(keys: Iterable[int]) -> Parts:
    """Return what lots from outside began as, by primary key: one part, or the parts that a document told.

    The shares of the parts of a lot sum to 1. One query for each ten thousand lots, and one more
    where some of them came with a document.
    """
    found, came, wanted = {}, {}, sorted(keys)
    for start in range(0, len(wanted), AT_ONCE):
        rows = Lot.objects.filter(pk__in=wanted[start : start + AT_ONCE]).order_by()
        for pk, origin_class, symbol, *rest, lineage in rows.values_list("pk", *OWN, "lineage"):
            if lineage is None:
                found[pk] = [(Facts(origin_class, symbol or "", *rest), 1)]
            else:
                found[pk], came[lineage] = [], pk
    told = ForeignOrigin.objects.filter(lineage__in=came) if came else ForeignOrigin.objects.none()
    for lineage, *fields in told.values_list("lineage", *FOREIGN):
        found[came[lineage]].append(part_told(fields))
    return found


def part_told(fields: list) -> tuple[Facts, Fraction]:
    """Return a part that a document told, with its share; without a named source its lot stands for one."""
    origin_class, symbol, colour, srgb, source, lot, numerator, denominator = fields
    facts = Facts(origin_class, symbol or "", colour, srgb, source or lot)
    return facts, Fraction(numerator, denominator)


def class_words() -> dict[str, str]:
    """Return the origin classes in words, put into the reader's language once and not for every lot."""
    return {value: str(label) for value, label in OriginClass.choices}


def summed_by(shares: Mapping, parts: Parts, name_of: Callable[[Facts], str]) -> dict:
    """Return shares of lots summed by a name of what they began as, the largest first."""
    sums = {}
    for pk, share in shares.items():
        for facts, part in parts[pk]:
            name = name_of(facts)
            sums[name] = sums.get(name, 0) + share * part
    return dict(sorted(sums.items(), key=lambda item: (-item[1], item[0])))


def masses_by(masses: Mapping, parts: Parts, name_of: Callable[[Facts], str]) -> dict[str, int]:
    """Return the mg of lots summed by a name of what they began as; they sum to what the lots have."""
    sums = {}
    for pk, mass_mg in masses.items():
        for (facts, _share), part_mg in zip(parts[pk], split_mg(mass_mg, parts[pk]), strict=True):
            name = name_of(facts)
            sums[name] = sums.get(name, 0) + part_mg
    return sums


def split_mg(mass_mg: int, rows: list[tuple[Facts, Fraction | int]]) -> list[int]:
    """Return the mg of each of the parts that a lot began as, in their order."""
    if len(rows) == 1:
        return [mass_mg]
    return list(
        allocate(mass_mg, {at: float(share) for at, (_facts, share) in enumerate(rows)}).values()
    )


def passes_before(ordered: Ordered) -> dict[int, dict[int, float]]:
    """Return how often lots from outside had been melted before they came, as shares by passes.

    Only those of which a document told are named. One query.
    """
    came = {edge[1] for taken in ordered.groups.values() for edge in taken if edge[SOURCE] is None}
    if not came:
        return {}
    found = defaultdict(dict)
    with connection.cursor() as cursor:
        cursor.execute(PASSES.format(keys=KEYS[connection.vendor]), [json.dumps([*came])])
        for pk, count, numerator, denominator in cursor.fetchall():
            found[pk][count] = numerator / denominator
    return dict(found)


@dataclass(frozen=True)
class Abroad:
    """A part of a lot that began in another workshop; the share is one of the lot asked about."""

    lot: Lot
    origin: ForeignOrigin
    share: float


@dataclass(frozen=True)
class Elsewhere:
    """What of a lot began in other workshops: the largest parts, their number, the lots that brought them."""

    parts: list[Abroad]
    count: int
    lots: frozenset[int]


def elsewhere(shares: Mapping[int, float], *, most: int) -> Elsewhere:
    """Return what began in other workshops of a lot with these origin shares.

    In two queries, and one where nothing came with a document.
    """
    came = Lineage.objects.filter(lot__in=[*shares]).select_related("lot__delivery")
    lineages = {lineage.pk: lineage for lineage in came.defer("document")}
    if not lineages:
        return Elsewhere([], 0, frozenset())
    found = []
    for row in ForeignOrigin.objects.filter(lineage__in=lineages).select_related("polymer"):
        lot = lineages[row.lineage_id].lot
        found.append(Abroad(lot, row, shares[lot.pk] * row.share))
    found.sort(key=lambda each: (-each.share, each.origin.pk))
    lots = frozenset(lineage.lot_id for lineage in lineages.values())
    return Elsewhere(found[:most], len(found), lots)
