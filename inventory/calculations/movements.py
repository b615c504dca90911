"""What a posting moved, and the same posting with its one movement mended.

A posting has one movement that somebody meant: a load, a move, a weighing out. The rest of
its flows follow from it: what was left in the bin, what a worn part had lost, what only the
scale found.
"""

from collections.abc import Hashable
from dataclasses import dataclass
from math import ceil

from inventory.calculations.corrections import (
    COUNT,
    DIFFERENCE,
    FOLLOWING,
    LOSS,
    PIECES,
    REMAINDER,
    Book,
    Flow,
)
from inventory.calculations.masses import split_mass

PART, LOADED, MOVED, RECEIVED, DISPOSED = "part", "loaded", "moved", "received", "disposed"
INTO_BINS = frozenset({MOVED, "material", "reject", "offcut", "dust", "purging", "leftover"})
OUT_OF_CHARGES = INTO_BINS - {MOVED} | {PART}


@dataclass(frozen=True)
class Mending:
    """What a movement should have been; None leaves it as it is. The mass in mg is that of all its flows."""

    mass_mg: int | None = None
    basis: str = ""
    scale: int | None = None
    uncertainty_ug: int = 0
    source: Hashable = None
    target: Hashable = None

    @property
    def weighing(self) -> dict:
        """How the mended mass became known."""
        return {"basis": self.basis, "scale": self.scale}


def moving(flows: tuple[Flow, ...]) -> list[Flow]:
    """Return the flows that somebody meant; empty where a posting only follows from others.

    >>> moving((Flow(1, 2, 5, "remainder"), Flow(3, 2, 1, "moved")))[0].mass_mg
    1
    """
    return [f for f in flows if f.role not in FOLLOWING]


def moved_mg(flows: tuple[Flow, ...]) -> int:
    """Return the mass of a movement in mg: what was meant, with what only the scale found of it."""
    meant = moving(flows)
    if is_gained(meant):
        return meant[0].mass_mg
    return sum(f.mass_mg for f in meant) + gained_mg(flows)


def is_gained(meant: list[Flow]) -> bool:
    """Whether a movement is a count that found more: from outside through a gain into the bin."""
    return len(meant) == 2 and meant[0].role == COUNT  # noqa: PLR2004 (into the gain and out of it)


def gained_mg(flows: tuple[Flow, ...]) -> int:
    """Return what only the scale found at a weighing out, in mg."""
    return sum(f.mass_mg for f in flows if f.role == DIFFERENCE and f.source is None)


def mended(flows: tuple[Flow, ...], mending: Mending) -> tuple[Flow, ...]:
    """Return a posting's flows with its movement mended.

    What only the scale found is given to the charge again when mass or source change, for the
    charge is settled anew; what a worn part had lost is what the mended load leaves of it.
    """
    meant = moving(flows)
    keeps = mending.mass_mg is None and mending.source is None
    total_mg = moved_mg(flows) if mending.mass_mg is None else mending.mass_mg
    worn_mg = sum(f.mass_mg for f in flows if f.role == LOSS)
    rest = [f for f in flows if f not in meant]
    if not keeps:
        worn_mg = worn_mg + moved_mg(flows) - total_mg if worn_mg and not mending.source else 0
        rest = [f for f in rest if f.role == REMAINDER] + worn(flows, worn_mg)
    told = both(meant, total_mg) if is_gained(meant) else shared(meant, total_mg, mending, keeps)
    return tuple(rest_led(rest, meant, mending) + led(told, mending))


def both(meant: list[Flow], total_mg: int) -> list[Flow]:
    """Return both halves of a gain with one mass."""
    return [f._replace(mass_mg=total_mg) for f in meant]


def shared(meant: list[Flow], total_mg: int, mending: Mending, keeps: bool) -> list[Flow]:  # noqa: FBT001 (known from the mending)
    """Return the flows of a movement with a mass shared out evenly, as pieces weighed together are."""
    if keeps:
        return meant
    masses = split_mass(total_mg, [1] * len(meant))
    told = [f._replace(mass_mg=mg) for f, mg in zip(meant, masses, strict=True)]
    if mending.mass_mg is None:
        return told
    each_ug = ceil(mending.uncertainty_ug / len(meant) ** 0.5)
    return [f._replace(uncertainty_ug=each_ug, **mending.weighing) for f in told]


def worn_anew(part: Hashable, book: Book) -> Book:
    """Return the step that says what a worn part had lost, with what is left of it now.

    `book` holds every standing step of the part. Nothing changes where none says so, and where
    less than nothing would be left.
    """
    flows = [(place, f) for place in sorted(book) for f in book[place]]
    lost = [(place, f) for place, f in flows if f.source == part and f.role == LOSS]
    if not lost:
        return {}
    place, was = lost[-1]
    given_mg = sum(f.mass_mg for _place, f in flows if f.source == part and f != was)
    left_mg = taken_mg(part, book) - given_mg
    if left_mg < 0 or left_mg == was.mass_mg:
        return {}
    follow = [was._replace(mass_mg=left_mg)] if left_mg else []
    return {place: tuple([f for f in book[place] if f != was] + follow)}


def pieces_anew(bag: Hashable, before: Book, after: Book) -> Book:
    """Return the steps by which a bag gave pieces, each of its mass by what the bag is now.

    Both books hold every standing step of the bag. Nothing changes where it took the same, or
    nothing.
    """
    was_mg, now_mg = (taken_mg(bag, book) for book in (before, after))
    if not was_mg or not now_mg or was_mg == now_mg:
        return {}

    def told(f: Flow) -> Flow:
        if f.source != bag or f.role != PIECES:
            return f
        return f._replace(mass_mg=max(1, (2 * f.mass_mg * now_mg + was_mg) // (2 * was_mg)))

    found = {place: tuple(map(told, flows)) for place, flows in after.items()}
    return {place: flows for place, flows in found.items() if flows != after[place]}


def taken_mg(lot: Hashable, book: Book) -> int:
    """Return what a lot took in a book, in mg."""
    return sum(f.mass_mg for flows in book.values() for f in flows if f.target == lot)


def worn(flows: tuple[Flow, ...], worn_mg: int) -> list[Flow]:
    """Return what a worn part had lost, with its new mass."""
    lost = [f for f in flows if f.role == LOSS]
    return [f._replace(mass_mg=worn_mg) for f in lost] if worn_mg > 0 else []


def led(told: list[Flow], mending: Mending) -> list[Flow]:
    """Return flows with the ends that the mending names."""
    source = {"source": mending.source} if mending.source is not None else {}
    target = {"target": mending.target} if mending.target is not None else {}
    return [f._replace(**source, **target) for f in told]


def rest_led(rest: list[Flow], meant: list[Flow], mending: Mending) -> list[Flow]:
    """Return what follows, led where the movement is led: a gain goes where its yield went."""
    if mending.target is None:
        return rest
    targets = {f.target for f in meant}
    return [
        f._replace(target=mending.target) if f.target in targets and f.role == DIFFERENCE else f
        for f in rest
        if f.role != REMAINDER or f.target not in targets
    ]
