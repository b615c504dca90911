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
    REMAINDER,
    Book,
    Flow,
)
from inventory.calculations.masses import split_mass

PART, LOADED, MOVED, RECEIVED, DISPOSED = "part", "loaded", "moved", "received", "disposed"
BOOK = "book"
INTO_BINS = frozenset({MOVED, "material", "reject", "offcut", "dust", "purging", "leftover"})
OUT_OF_CHARGES = INTO_BINS - {MOVED} | {PART}


@dataclass(frozen=True)
class Mending:
    """What a movement should have been; None leaves it as it is. The mass in mg is that of all its flows.

    `share_mg` is what a loaded piece of another part weighs by the book; less of it was worn away.
    """

    mass_mg: int | None = None
    basis: str = ""
    scale: int | None = None
    uncertainty_ug: int = 0
    source: Hashable = None
    target: Hashable = None
    share_mg: int | None = None

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
    total_mg = mended_mg(flows, mending)
    worn_mg = sum(f.mass_mg for f in flows if f.role == LOSS)
    rest = [f for f in flows if f not in meant]
    if not keeps:
        worn_mg = worn_mg + moved_mg(flows) - total_mg if worn_mg and not mending.source else 0
        rest = [f for f in rest if f.role == REMAINDER] + worn(flows, worn_mg)
        rest += worn_off(mending, total_mg)
    told = both(meant, total_mg) if is_gained(meant) else shared(meant, total_mg, mending, keeps)
    return tuple(rest_led(rest, meant, mending) + led(told, mending))


def mended_mg(flows: tuple[Flow, ...], mending: Mending) -> int:
    """Return the mass of a mended movement in mg; of another part by the book it is what that weighs."""
    if mending.mass_mg is not None:
        return mending.mass_mg
    is_by_book = all(f.basis == BOOK for f in moving(flows))
    return mending.share_mg if mending.share_mg and is_by_book else moved_mg(flows)


def worn_off(mending: Mending, total_mg: int) -> list[Flow]:
    """Return what another part had lost when so many mg of it were loaded."""
    worn_mg = (mending.share_mg or 0) - total_mg
    return [Flow(mending.source, None, worn_mg, LOSS, basis=BOOK)] if worn_mg > 0 else []


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


def part_anew(part: Hashable, before: Book, after: Book) -> Book:
    """Return the steps by which a part gave, told with what it weighs now.

    Both books hold every standing step of the part. What it gave by the book, pieces or all of it,
    is as large a share of the part as before. Of a load that somebody weighed or typed, what that
    leaves of its share was worn away. Where the part had given all, the last step takes what is
    left, for nothing stays of a thing that is used up. Nothing changes where it took nothing.
    """
    was_mg, now_mg = taken_mg(part, before), taken_mg(part, after)
    if not was_mg or not now_mg:
        return {}
    gave, gives = gifts(part, before), gifts(part, after)
    found, is_over = {}, False
    for place in sorted(gave.keys() & gives.keys()):
        share_mg = max(1, (2 * gave[place] * now_mg + was_mg) // (2 * was_mg))
        found[place] = share_anew(part, after[place], share_mg)
        is_over |= given_mg(part, found[place]) > share_mg
    if gave.keys() == gives.keys() and sum(gave.values()) == was_mg and not is_over:
        found |= rest_anew(part, after | found, now_mg)
    return {place: flows for place, flows in found.items() if flows != after[place]}


def gifts(lot: Hashable, book: Book) -> dict:
    """Return what a lot gave in each step in which it gave something, in mg, by place."""
    return {place: mg for place, flows in book.items() if (mg := given_mg(lot, flows))}


def rest_anew(part: Hashable, book: Book, taken: int) -> Book:
    """Return the last step of a part that follows, with all that the other steps leave of so many mg."""
    given = gifts(part, book)
    last = max((place for place in given if follows(part, book[place])), default=None)
    if last is None or (left_mg := taken - sum(given.values()) + given[last]) <= 0:
        return {}
    return {last: share_anew(part, book[last], left_mg)}


def follows(part: Hashable, flows: tuple[Flow, ...]) -> bool:
    """Whether what a step took of a part is a share of it: by the book, or loaded with what was worn away."""
    return any(f.source == part and (f.basis == BOOK or f.role == LOADED) for f in flows)


def share_anew(part: Hashable, flows: tuple[Flow, ...], share_mg: int) -> tuple[Flow, ...]:
    """Return a step that takes another share of a part, in mg; a mass that somebody meant stays."""
    if not follows(part, flows):
        return flows
    kept = tuple(f for f in flows if f.source != part or f.role != LOSS)
    if not any(f.source == part and f.basis != BOOK for f in kept):
        return tuple(f._replace(mass_mg=share_mg) if f.source == part else f for f in kept)
    worn_mg = share_mg - given_mg(part, kept)
    worn_away = Flow(part, None, worn_mg, LOSS, basis=BOOK)
    return (*kept, worn_away) if worn_mg > 0 else kept


def given_mg(lot: Hashable, flows: tuple[Flow, ...]) -> int:
    """Return what a lot gave in a step, in mg."""
    return sum(f.mass_mg for f in flows if f.source == lot)


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
