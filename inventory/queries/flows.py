"""The mass flows of a period, read off the ledger.

What counts is what stands: a corrected posting counts as its replacement, at its own time in the
workshop; reversals and what they reversed count not at all. Materials are those that the lots have
by today's book, so that somebody who identifies a lot later moves no mass between materials.

The plan: the postings of the period come off the index `posting_happened`, their transfers off the
index of their posting, both ends by primary key, and the database adds them up by step, role and
account. What stood at the start is added up the same way on that side of the period where fewer
postings lie: from the beginning of the book, or back from what the lots hold today. A book that is
not huge is added up from both sides, so that the ledger is held against the lots.
"""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import date, datetime, time

from django.db import connection
from django.db.models import F, Sum
from django.utils import timezone

from inventory.calculations.flows import (
    FOUND,
    MACHINE,
    PART,
    PLACES,
    STOCK,
    Account,
    Balance,
    Move,
    balances,
    carried_on,
    inside,
    led_back,
)
from inventory.calculations.periods import Period, Step
from inventory.models import Colour, Lot, Polymer, Posting
from inventory.queries.pasts import stored

PLACE_OF = {
    Lot.Kind.DELIVERY: STOCK,
    Lot.Kind.FILL: STOCK,
    Lot.Kind.CHARGE: MACHINE,
    Lot.Kind.PART: PART,
    Lot.Kind.GAIN: FOUND,
}
MOST_POSTINGS = 60_000  # beyond so many the book is added up from one side only

# CROSS JOIN keeps SQLite from another order, COALESCE from the index of what is reversed, where
# nearly every row is empty.
MOVES = """
SELECT {step}, t.role, s.kind, s.polymer_id, s.colour_id, g.kind, g.polymer_id, g.colour_id,
    SUM(t.mass_mg)
FROM inventory_posting p CROSS JOIN inventory_transfer t
    LEFT JOIN inventory_lot s ON s.id = t.source_id
    LEFT JOIN inventory_lot g ON g.id = t.target_id
WHERE t.posting_id = p.id {bounds} AND COALESCE(p.reverses_id, 0) = 0
    AND NOT EXISTS (SELECT 1 FROM inventory_posting r WHERE r.reverses_id = p.id)
GROUP BY 1, 2, 3, 4, 5, 6, 7, 8
ORDER BY 1, 2, 3, 4, 5, 6, 7, 8
"""


@dataclass(frozen=True)
class Flow:
    """What stood in the accounts at the start of a period, and what moved; masses in mg.

    `off_mg` is by how much the lots hold something else at its end, None where that was not added up.
    """

    period: Period
    steps: list[Step]
    opening: dict[Account, int]
    moves: list[Move]
    off_mg: int | None = None
    material: tuple | None = None

    def of(self, material: tuple | None) -> "Flow":
        """Return the flow of one material, or with None of all; other materials stand outside it."""
        return replace(self, material=material)

    def whole(self) -> Balance:
        """Return the balance of the whole workshop."""
        if self.material:
            return self.by_material().get(self.material, Balance())
        return balances(self.moves, self.opening, lambda _account: "").get("", Balance())

    def by_place(self) -> dict[str, Balance]:
        """Return the balance of each place."""

        def place(account: Account) -> str | None:
            return account.place if self.material in (None, account.material) else None

        found = balances(self.moves, self.opening, place)
        return {place: found[place] for place in PLACES if place in found}

    def by_material(self) -> dict[tuple, Balance]:
        """Return the balance of each polymer and colour."""
        return balances(
            self.moves, self.opening, lambda account: account.material, is_by_place=False
        )

    def by_account(self) -> dict[Account, Balance]:
        """Return the balance of each material in each place."""
        return balances(self.moves, self.opening, lambda account: account)

    def inside(self) -> dict[str, int]:
        """Return what went from place to place, by line."""
        if self.material:
            return self.inside_by_material().get(self.material, {})
        return inside(self.moves, lambda _account: "").get("", {})

    def inside_by_material(self) -> dict[tuple, dict[str, int]]:
        """Return what went from place to place, by material and line."""
        return inside(self.moves, lambda account: account.material)

    def by_step(self) -> list["Flow"]:
        """Return the flow of each step, each opening where the one before closed."""
        found, opening, by_number = [], self.opening, defaultdict(list)
        for move in self.moves:
            by_number[move.step].append(move)
        for number, step in enumerate(self.steps):
            moves = by_number[number]
            part = Flow(Period(step.start, step.end), [step], opening, moves)
            found.append(part.of(self.material))
            opening = carried_on(opening, moves)
        return found


def flow_of(period: Period) -> Flow:
    """Return the mass flows of a period; at most five queries, each by an index."""
    moves = moves_between(period.start, period.end, period.steps)
    before, after = postings_beside(period)
    is_both = before + after <= MOST_POSTINGS
    ahead = behind = None
    if is_both or before <= after:
        ahead = carried_on({}, moves_between(None, period.start))
    if is_both or before > after:
        closing = led_back(held_now(), moves_between(period.end, None))
        behind = led_back(closing, moves)
    off_mg = difference_mg(ahead, behind) if is_both else None
    return Flow(period, period.steps, behind if ahead is None else ahead, moves, off_mg)


def difference_mg(one: dict, other: dict) -> int:
    """Return by how much two openings differ, account by account."""
    return sum(abs(one.get(key, 0) - other.get(key, 0)) for key in {**one, **other})


def postings_beside(period: Period) -> tuple[int, int]:
    """Return how many postings happened before a period, and how many after it."""
    postings = Posting.objects.order_by()
    before = postings.filter(happened_at__lt=midnight(period.start)).count()
    return before, postings.filter(happened_at__gte=midnight(period.end)).count()


def moves_between(start: date | None, end: date | None, steps: Iterable[Step] = ()) -> list[Move]:
    """Return what moved from the first day of a time on and before its end, added up by step."""
    statement, arguments = moves_statement(start, end, list(steps))
    with connection.cursor() as cursor:
        cursor.execute(statement, arguments)
        return [
            Move(row[0], row[1], account(*row[2:5]), account(*row[5:8]), int(row[8]))
            for row in cursor.fetchall()
        ]


def moves_statement(start: date | None, end: date | None, steps: list[Step]) -> tuple[str, list]:
    """Return the statement that adds up moves, and its arguments."""
    ends = [step.end for step in steps[:-1]]
    bounds = [("AND p.happened_at >= %s", start), ("AND p.happened_at < %s", end)]
    bounds = [(text, day) for text, day in bounds if day is not None]
    statement = MOVES.format(
        step=step_case("p.happened_at", len(ends)), bounds=" ".join(text for text, _day in bounds)
    )
    return statement, [moment_of(day) for day in [*ends, *(day for _text, day in bounds)]]


def step_case(column: str, count: int) -> str:
    """Return the SQL that numbers the steps of a moment, with an argument for the end of each but the last."""
    whens = "".join(f" WHEN {column} < %s THEN {number}" for number in range(count))
    return f"CASE{whens} ELSE {count} END" if count else "0"


def account(kind: str | None, polymer: int | None, colour: int | None) -> Account | None:
    """Return the account of a lot's facts, or None for the outside."""
    return Account(PLACE_OF[kind], polymer, colour) if kind else None


def held_now() -> dict[Account, int]:
    """Return what the lots hold by their own counters, by account, in mg; off the index `lot_open`."""
    lots = Lot.objects.open().filter(kind__in=PLACE_OF)
    rows = lots.order_by().values_list("kind", "polymer", "colour")
    sums = rows.annotate(mg=Sum(F("in_mg") - F("out_mg")))
    held = {}
    for kind, polymer, colour, mass_mg in sums:
        key = account(kind, polymer, colour)
        held[key] = held.get(key, 0) + int(mass_mg)
    return held


def midnight(day: date) -> datetime:
    """Return the moment a day begins in the workshop's time zone."""
    return timezone.make_aware(datetime.combine(day, time.min))


def moment_of(day: date):
    """Return the moment a day begins as the database keeps it."""
    return stored("happened_at", midnight(day))


@dataclass(frozen=True)
class Material:
    """A polymer and a colour of a report, as people know them."""

    polymer: str
    colour: str
    srgb: str


def materials_of(keys: Iterable[tuple]) -> dict[tuple, Material]:
    """Return the polymer and colour of materials, in the order of their names, in two queries."""
    keys = list(keys)
    polymers = dict(Polymer.objects.values_list("pk", "symbol"))
    colours = {row[0]: row[1:] for row in Colour.objects.values_list("pk", "name", "srgb")}
    found = {key: Material(polymers.get(key[0], ""), *colours[key[1]]) for key in keys}
    return dict(sorted(found.items(), key=lambda each: (each[1].polymer or "~", each[1].colour)))
