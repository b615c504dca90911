"""Whether a product can be taken apart and recycled in one go: yes, no, or after taking apart.

It is judged by its plastics (one polymer, or a mixture that the workshop allows), by what is no
plastic of ours, and by the joints: glue and welds stay, all else comes apart again (common
practice in designing for recycling). Which polymers go together is for the caller to say; what
nobody has said about a joint counts as not coming apart.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal

from products.calculations.resin_codes import MARK_FROM_G, MARK_FROM_MM2
from products.calculations.sentences import Sentence

PLASTIC, SCREW, GLUE = "plastic", "screw", "glue"
LASTING = ("glue", "weld")
YES, AFTER, NO = "yes", "after", "no"
PERMILLE = 1000
FLOAT_NOISE = 1e-9

ANSWERS = {
    YES: Sentence("apart-yes"),
    AFTER: Sentence("apart-after"),
    NO: Sentence("apart-no"),
}

Mixes = Mapping[tuple[str, str], int | None]


@dataclass(frozen=True)
class Item:
    """One line of a parts list: so many equal things, each of `mass_g`; plastic, or what was bought."""

    name: str
    kind: str = PLASTIC
    polymers: frozenset[str] = frozenset()  # allowed ones; none: any
    count: int = 1
    mass_g: float = 0
    surface_mm2: int | None = None
    is_coated: bool = False
    has_inserts: bool = False

    @property
    def asks_for_mark(self) -> bool:
        """Whether it is plastic, and large enough for green procurement in the EU to ask for a mark.

        >>> Item("seat", mass_g=25).asks_for_mark, Item("cap", mass_g=24.9).asks_for_mark
        (True, False)
        """
        large = self.mass_g >= MARK_FROM_G or (self.surface_mm2 or 0) >= MARK_FROM_MM2
        return self.kind == PLASTIC and large


@dataclass(frozen=True)
class Joint:
    """What holds two items, by their places in the list, and how long it takes to undo.

    Both places may be the same, where things of one line are joined to each other.
    """

    kind: str
    first: int
    second: int
    minutes: Decimal = Decimal(0)

    @property
    def is_lasting(self) -> bool:
        """Whether it cannot be undone."""
        return self.kind in LASTING


@dataclass(frozen=True)
class Verdict:
    """The answer (yes, after, no) with its reasons, and the minutes that taking apart takes."""

    answer: str
    reasons: tuple[Sentence, ...]
    minutes: Decimal

    @property
    def sentence(self) -> Sentence:
        """The answer in a sentence."""
        return ANSWERS[self.answer]


def apart_verdict(items: Sequence[Item], joints: Sequence[Joint], mixes: Mixes) -> Verdict:
    """Return whether a product can be taken apart and recycled in one go.

    `items` begins with what all else is fixed to; `mixes` are the mixtures that may be made, as
    (main polymer, added polymer) with the most of the added one in permille by mass, None for any.

    >>> seat, leg = (Item(name, polymers=frozenset({"PP"})) for name in ("seat", "leg"))
    >>> apart_verdict([seat, leg], [Joint("weld", 0, 1)], {}).answer
    'yes'
    >>> apart_verdict([seat, Item("bolt", "screw")], [Joint("screw", 0, 1)], {}).answer
    'after'
    >>> foot = Item("foot", polymers=frozenset({"PS"}))
    >>> apart_verdict([seat, foot], [Joint("glue", 0, 1)], {}).answer
    'no'
    """
    unlike = not goes_together(items, mixes)
    foreign = [item for item in items if item.kind not in (PLASTIC, GLUE)]
    needs = [_material(items, mixes)]
    needs += [Sentence("apart-foreign", names=_names(foreign))] if foreign else []
    faults = [*_stuck(items, joints, mixes), *_treated(items)]
    if unlike or foreign:
        faults += _not_said(items, joints, is_unlike=unlike)
    answer = NO if faults else AFTER if unlike or foreign else YES
    minutes = sum((each.minutes for each in joints if not each.is_lasting), Decimal(0))
    reasons = [*faults, *needs, *_effort(answer, minutes), *_notes(items, joints)]
    return Verdict(answer, tuple(reasons), minutes if answer == AFTER else Decimal(0))


def goes_together(items: Iterable[Item], mixes: Mixes) -> bool:
    """Return whether the plastics among the items are one material, or a mixture that may be made.

    A thing that may be made of several polymers goes with no other, not even with its like.

    >>> sheet, edge = Item("sheet", polymers=frozenset({"PP"}), mass_g=96), Item(
    ...     "edge", polymers=frozenset({"PE-HD"}), mass_g=4)
    >>> goes_together([sheet, edge], {}), goes_together([sheet, edge], {("PP", "PE-HD"): 50})
    (False, True)
    """
    plastics = [item for item in items if item.kind == PLASTIC]
    if sum(item.count for item in plastics) <= 1:
        return True
    if any(len(item.polymers) != 1 for item in plastics):
        return False
    masses: dict[str, float] = {}
    for item in plastics:
        (symbol,) = item.polymers
        masses[symbol] = masses.get(symbol, 0) + item.mass_g * item.count
    return len(masses) == 1 or _may_mix(masses, mixes)


def _may_mix(masses: Mapping[str, float], mixes: Mixes) -> bool:
    if len(masses) != 2:  # noqa: PLR2004
        return False
    total = sum(masses.values())
    for main, added in (tuple(masses), tuple(masses)[::-1]):
        if (main, added) in mixes:
            most = mixes[main, added]
            share = masses[added] / total * PERMILLE if total else PERMILLE
            if most is None or share <= most + FLOAT_NOISE:
                return True
    return False


def inseparable(count: int, joints: Iterable[Joint]) -> list[set[int]]:
    """Return which of `count` items glue and welds hold together, as the sets of two or more.

    >>> inseparable(4, [Joint("glue", 0, 1), Joint("weld", 1, 3), Joint("screw", 0, 2)])
    [{0, 1, 3}]
    """
    group = {place: {place} for place in range(count)}
    for joint in joints:
        if joint.is_lasting and group[joint.first] is not group[joint.second]:
            group[joint.first] |= group[joint.second]
            for place in group[joint.second]:
                group[place] = group[joint.first]
    whole = {id(each): each for each in group.values()}
    return [each for each in whole.values() if len(each) > 1]


def _material(items: Sequence[Item], mixes: Mixes) -> Sentence:
    plastics = [item for item in items if item.kind == PLASTIC]
    symbols = sorted(set().union(*(item.polymers for item in plastics)))
    open_ones = [item for item in plastics if len(item.polymers) != 1]
    if goes_together(items, mixes):
        if len(symbols) == 1 and not open_ones:
            return Sentence("apart-one-polymer", polymer=symbols[0])
        code = "apart-one-thing" if open_ones else "apart-mixture"
        return (
            Sentence(code, polymers=", ".join(symbols)) if symbols[1:] else _any_polymer(plastics)
        )
    if open_ones:
        return Sentence("apart-open-polymers", names=_names(open_ones))
    return Sentence("apart-unlike", polymers=", ".join(symbols))


def _any_polymer(plastics: Sequence[Item]) -> Sentence:
    return Sentence("apart-by-its-mark", names=_names(plastics))


def _stuck(items: Sequence[Item], joints: Sequence[Joint], mixes: Mixes) -> list[Sentence]:
    found = []
    alone = [{each.first} for each in joints if each.is_lasting and each.first == each.second]
    for places in [*inseparable(len(items), joints), *alone]:
        held = [items[place] for place in sorted(places)]
        if not goes_together(held, mixes):
            found.append(Sentence("apart-stuck-unlike", names=_names(held)))
        foreign = [item for item in held if item.kind not in (PLASTIC, GLUE)]
        if foreign:
            found.append(Sentence("apart-stuck-foreign", names=_names(foreign)))
    return found


def _treated(items: Iterable[Item]) -> list[Sentence]:
    items = list(items)
    coated = [item for item in items if item.is_coated]
    inserted = [item for item in items if item.has_inserts]
    found = [Sentence("apart-coated", names=_names(coated))] if coated else []
    return found + ([Sentence("apart-inserts", names=_names(inserted))] if inserted else [])


def _not_said(items: Sequence[Item], joints: Sequence[Joint], *, is_unlike: bool) -> list[Sentence]:
    """Screws come out with what they hold, glue stays; anything else needs a joint of its own."""
    held = {place for joint in joints for place in (joint.first, joint.second)}
    known = {GLUE} | ({SCREW} if any(joint.kind == SCREW for joint in joints) else set())
    known |= set() if is_unlike else {PLASTIC}
    rest = [item for place, item in enumerate(items) if place and place not in held]
    unsaid = [item for item in rest if item.kind not in known]
    return [Sentence("apart-not-said", names=_names(unsaid))] if unsaid else []


def _effort(answer: str, minutes: Decimal) -> list[Sentence]:
    if answer != AFTER:
        return []
    return [Sentence("apart-minutes", minutes=f"{minutes.normalize():f}")] if minutes else []


def _notes(items: Sequence[Item], joints: Sequence[Joint]) -> list[Sentence]:
    notes = []
    if any(joint.kind == GLUE for joint in joints):
        notes.append(Sentence("apart-glue-stays"))
    marked = [item for item in items if item.asks_for_mark]
    if marked:
        limits = {"mass": f"{MARK_FROM_G:g}", "surface": f"{MARK_FROM_MM2:g}"}
        notes.append(Sentence("apart-marks", names=_names(marked), **limits))
    return notes


def _names(items: Iterable[Item]) -> str:
    return ", ".join(dict.fromkeys(item.name for item in items))
