"""Parts going into use and coming back in a period: no mass moves, but people ask how much is out.

What is in a product that was handed over is in use as long as it is in it.
"""

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass

from django.db import connection

from inventory.calculations.periods import Period
from inventory.queries.flows import moment_of, step_case

# First what is out because it was handed over, or is in a part that was: from when until when. What is in a
# product goes and comes back with it, and leaves it when it is taken out. Times that are typed later could
# make a ring that nobody saw then, so no way down is longer than 20.
#
# Then what the lot of each held at the moment when it went out, as the book says it today. CROSS JOIN
# keeps SQLite to this order, so that it looks up the transfers of some lots, not lots for all transfers.
HELD = """
WITH RECURSIVE away(part_id, out_at, back_at, depth) AS (
    SELECT h.part_id, h.out_at, h.back_at, 0 FROM products_handover h
    WHERE h.out_at < %s AND (h.back_at IS NULL OR h.back_at >= %s)
  UNION ALL
    SELECT f.part_id, CASE WHEN f.put_in_at > h.out_at THEN f.put_in_at ELSE h.out_at END,
        CASE WHEN h.back_at IS NULL OR f.taken_out_at < h.back_at THEN f.taken_out_at ELSE h.back_at END,
        h.depth + 1
    FROM away h CROSS JOIN products_fixing f
    WHERE f.holder_id = h.part_id AND h.depth < 20 AND (f.taken_out_at IS NULL OR f.taken_out_at > h.out_at)
        AND (h.back_at IS NULL OR f.put_in_at < h.back_at OR f.put_in_at <= h.out_at)
)
SELECT {step}, l.polymer_id, l.colour_id,
    SUM(CASE WHEN t.target_id = l.id THEN t.mass_mg ELSE -t.mass_mg END),
    COUNT(DISTINCT CAST(h.part_id AS TEXT) || CAST(h.out_at AS TEXT))
FROM away h CROSS JOIN products_part a CROSS JOIN inventory_lot l
    CROSS JOIN inventory_transfer t CROSS JOIN inventory_posting p
WHERE a.id = h.part_id AND l.id = a.lot_id AND (t.target_id = l.id OR t.source_id = l.id)
    AND p.id = t.posting_id AND {which} AND p.happened_at {until} AND COALESCE(p.reverses_id, 0) = 0
    AND NOT EXISTS (SELECT 1 FROM inventory_posting r WHERE r.reverses_id = p.id)
GROUP BY 1, 2, 3
"""
OUT_THEN = "h.out_at < %s AND (h.back_at IS NULL OR h.back_at >= %s)"


@dataclass(frozen=True)
class Handed:
    """Some parts: their mass in mg, and how many codes they are."""

    mass_mg: int = 0
    parts: int = 0

    def __add__(self, other: "Handed") -> "Handed":
        return Handed(self.mass_mg + other.mass_mg, self.parts + other.parts)


@dataclass(frozen=True)
class InUse:
    """What was out at the start and at the end of a period, and what went out and came back.

    Keys are a step (0 at start and end) and a material. Whatever parts lost or took while they were
    out is `changed_mg`: opening + handed over - returned + changed = closing.
    """

    opening: Mapping[tuple, Handed]
    out: Mapping[tuple, Handed]
    back: Mapping[tuple, Handed]
    closing: Mapping[tuple, Handed]

    def of(self, material: tuple | None) -> "InUse":
        """Return the same of one material, or with None of all."""
        if material is None:
            return self
        kept = (
            {key: each for key, each in rows.items() if key[1] == material}
            for rows in (self.opening, self.out, self.back, self.closing)
        )
        return InUse(*kept)

    @property
    def sums(self) -> dict[str, Handed]:
        """The four of them, summed."""
        return {name: summed(rows.values()) for name, rows in vars(self).items()}

    @property
    def changed_mg(self) -> int:
        """What parts took less gave while they were out, in mg."""
        of = {name: each.mass_mg for name, each in self.sums.items()}
        return of["closing"] - of["opening"] - of["out"] + of["back"]

    def by_step(self, count: int) -> list[tuple[Handed, Handed]]:
        """Return what went out and what came back in each step."""
        return [
            (self.in_step(self.out, number), self.in_step(self.back, number))
            for number in range(count)
        ]

    @staticmethod
    def in_step(rows: Mapping[tuple, Handed], number: int) -> Handed:
        """Return what moved in one step."""
        return summed(each for key, each in rows.items() if key[0] == number)


def summed(handed) -> Handed:
    """Return the sum of some parts."""
    return sum(handed, Handed())


def in_use_of(period: Period) -> InUse:
    """Return what was in use in a period, in four queries."""
    start, end = moment_of(period.start), moment_of(period.end)
    ends = [moment_of(step.end) for step in period.steps[:-1]]
    return InUse(
        opening=rows_at(start),
        out=rows_when("h.out_at", ends, start, end),
        back=rows_when("h.back_at", ends, start, end),
        closing=rows_at(end),
    )


def rows_at(moment) -> dict[tuple, Handed]:
    """Return what was in use at a moment, by material."""
    statement = HELD.format(step="0", which=OUT_THEN, until="< %s")
    return rows(statement, [moment] * 5)


def rows_when(column: str, ends: list, start, end) -> dict[tuple, Handed]:
    """Return what was handed over or came back between two moments, by step and material."""
    which, step = f"{column} >= %s AND {column} < %s", step_case(column, len(ends))
    statement = HELD.format(step=step, which=which, until=f"<= {column}")
    return rows(statement, [end, start, *ends, start, end])


def rows(statement: str, arguments: list) -> dict[tuple, Handed]:
    """Return the rows of a statement by step and material."""
    found = defaultdict(Handed)
    with connection.cursor() as cursor:
        cursor.execute(statement, arguments)
        for step, polymer, colour, mass_mg, parts in cursor.fetchall():
            found[step, (polymer, colour)] += Handed(int(mass_mg), parts)
    return dict(found)
