"""What a calculator of the desk is: its inputs, outputs, formula and sources, as data.

A calculator is declared beside the formulas that it asks. From the declarations one page, one
form and one API view are made; they know nothing of any single calculator. Texts are English and
marked for translators. What a formula notices goes along with its result as notes: a code of
the calculator's own `notes`, and the figures that the sentence names.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from math import isclose

from products.calculations.sentences import gettext_noop

FLOAT_NOISE = 1e-9
STEPS = {
    "pressing": gettext_noop("Before pressing"),
    "injecting": gettext_noop("Before injecting"),
    "extruding": gettext_noop("Before extruding"),
    "cutting": gettext_noop("Before cutting"),
    "bending": gettext_noop("Before bending"),
    "designing": gettext_noop("Designing"),
    "weighing": gettext_noop("Weighing and sorting"),
    "colour": gettext_noop("Colour"),
}

# On what a figure or a formula rests
BASES = {
    "": gettext_noop("published"),
    "exact": gettext_noop("exact"),
    "memory": gettext_noop("from memory: confirm it"),
    "judgement": gettext_noop("our own judgement"),
    "common": gettext_noop("common practice"),
    "own": gettext_noop("own value"),
}

DENSITY = gettext_noop("Density")
POLYMER = gettext_noop("Polymer")

PRESS = gettext_noop(
    "Hot plates burn and a closing press crushes. Keep hands out while it moves, let the force off"
    " before opening, draw the fumes off."
)
BARREL = gettext_noop(
    "Barrel, nozzle and purgings burn, and melt can spit. Cover face and hands, draw the fumes off,"
    " stay below the temperature at which the material fumes."
)
HOT_PART = gettext_noop(
    "A part that holds its shape outside may still be hot and soft inside. Gloves, and time."
)
BLADE = gettext_noop(
    "A moving blade and flying dust. Guard in place, eyes and ears covered, dust drawn off and kept"
    " from any flame."
)
HEATER = gettext_noop(
    "Heater and softened sheet burn. Heat-proof gloves, fumes drawn off, never unwatched."
)
NO_LOAD = gettext_noop(
    "No load rating: recycled plastic has no design value for strength. What people stand, sit or"
    " hang on needs somebody licensed."
)
BATH = gettext_noop(
    "Alcohol burns and its vapour spreads; brine attacks metal. Ventilate, keep flames away, wear"
    " gloves and glasses."
)


@dataclass(frozen=True)
class Input:
    """One box of a calculator; `filled_by` names the polymer's figure that an empty box takes."""

    name: str
    label: str
    unit: str = ""
    default: float | str | None = None
    least: float | None = None
    most: float | None = None
    kind: str = "number"
    choices: tuple[tuple[str, str], ...] = ()
    is_optional: bool = False
    filled_by: str = ""
    polymer: str = "polymer"
    basis: str = ""
    help: str = ""


@dataclass(frozen=True)
class Output:
    """One figure of the answer, told to so many significant digits.

    `ends` names the outputs that are its least and its most, where it lies in a band. `rounds` is `up`
    for what is needed and `down` for what there is or is saved, so that no digit left out makes a figure
    better than it is; else it goes to the nearest. `known_to` names its uncertainty, whose last
    digit is its own last one (JCGM 100, 7.2.6).
    """

    name: str
    label: str
    unit: str = ""
    digits: int = 3
    is_main: bool = False
    ends: tuple[str, ...] = ()
    rounds: str = ""
    known_to: str = ""


@dataclass(frozen=True)
class Source:
    """Where a formula or a figure comes from, and on what it rests."""

    text: str
    basis: str = ""


@dataclass(frozen=True)
class Note:
    """Something that a formula noticed; the calculator has the sentence of the code."""

    code: str
    facts: Mapping[str, float | str] = field(default_factory=dict)


@dataclass(frozen=True)
class Answer:
    """The outputs by name, None where there is none, and the notes."""

    values: Mapping[str, float | str | None]
    notes: tuple[Note, ...] = ()


class Impossible(ValueError):  # noqa: N818 (it is told to a person, who mends the input)
    """An input that no answer can follow from: the calculator has the sentence of the code."""

    def __init__(self, code: str, at: str = ""):
        super().__init__(code)
        self.code, self.at = code, at


@dataclass(frozen=True, eq=False)
class Calculator:
    """One calculator: what it asks, what it answers, and where that comes from."""

    name: str
    title: str
    question: str
    steps: tuple[str, ...]
    inputs: tuple[Input, ...]
    outputs: tuple[Output, ...]
    answer: Callable[[Mapping], Answer]
    formula: tuple[str, ...]
    symbols: tuple[tuple[str, str, str], ...]
    sources: tuple[Source, ...]
    valid: str = ""
    notes: Mapping[str, str] = field(default_factory=dict)
    caution: str = ""

    @property
    def is_heated(self) -> bool:
        """Return whether it is about heating plastic, so that reject material is not offered."""
        return self.caution in {PRESS, BARREL, HOT_PART, HEATER}

    @property
    def defaults(self) -> dict[str, float | str]:
        """Return what its boxes hold at first."""
        return {each.name: each.default for each in self.inputs if each.default is not None}


def polymer_input(name: str = "polymer", default: str = "PE-HD", label: str = POLYMER) -> Input:
    """Return the box in which a polymer is chosen whose figures fill empty boxes.

    >>> polymer_input().kind
    'polymer'
    """
    return Input(name, label, default=default, kind="polymer", is_optional=True)


def density_input(name: str = "density_g_cm3", polymer: str = "polymer") -> Input:
    """Return the box of a solid density in g/cm3, filled by the polymer's usual one.

    >>> density_input().filled_by
    'density'
    """
    return Input(
        name,
        DENSITY,
        "g/cm³",
        least=0.005,
        most=3,
        filled_by="density",
        polymer=polymer,
        is_optional=False,
    )


FUMES = {
    "fumes": gettext_noop(
        "%(heat)s °C is above %(ceiling)s °C, from where this polymer gives off fumes: lower the heat."
    )
}


def fume_input() -> Input:
    """Return the box of the temperature in C above which a polymer fumes, filled by the polymer.

    >>> fume_input().filled_by
    'fume-above'
    """
    return Input(
        "fume_above_c",
        gettext_noop("Gives off fumes above"),
        "°C",
        least=50,
        most=500,
        filled_by="fume-above",
        is_optional=True,
    )


def fume_notes(given: Mapping, heat_c: float) -> tuple[Note, ...]:
    """Return a note when something is hotter than the temperature above which the polymer fumes.

    >>> [note.code for note in fume_notes({"fume_above_c": 280}, 300)]
    ['fumes']
    """
    ceiling = given["fume_above_c"]
    facts = {"heat": heat_c, "ceiling": ceiling or 0}
    return noted((ceiling is not None and heat_c > ceiling, "fumes", facts))


WINDOW = {
    "out-of-window": gettext_noop(
        "%(heat)s °C lies outside of %(low)s to %(high)s °C, the usual window of this polymer for this work."
    )
}


def window_inputs(name: str) -> tuple[Input, Input]:
    """Return the boxes of the window in C in which a polymer is usually worked, filled by the polymer.

    >>> [each.filled_by for each in window_inputs("form-sheet")]
    ['form-sheet:low', 'form-sheet:high']
    """
    ends = {
        "low": gettext_noop("Usual window, from"),
        "high": gettext_noop("Usual window, up to"),
    }
    low, high = (
        Input(
            f"window_{end}_c",
            label,
            "°C",
            least=0,
            most=500,
            filled_by=f"{name}:{end}",
            is_optional=True,
        )
        for end, label in ends.items()
    )
    return low, high


def window_notes(given: Mapping, heat_c: float) -> tuple[Note, ...]:
    """Return a note when a heat lies outside of the window that is usual for the polymer.

    >>> [note.code for note in window_notes({"window_low_c": 75, "window_high_c": 100}, 150)]
    ['out-of-window']
    """
    low, high = given["window_low_c"], given["window_high_c"]
    is_known = low is not None and high is not None
    facts = {"heat": heat_c, "low": low, "high": high}
    return noted((is_known and not low <= heat_c <= high, "out-of-window", facts))


def above(figure: float, limit: float) -> bool:
    """Return whether a figure is above a limit, by more than floats are off: what just meets it keeps it.

    >>> above(300 * 0.1 / 10, 3), above(3.001, 3)
    (False, True)
    """
    return figure > limit and not isclose(figure, limit, rel_tol=FLOAT_NOISE)


def noted(*pairs: tuple[bool, str, Mapping]) -> tuple[Note, ...]:
    """Return the notes whose condition holds.

    >>> noted((True, "a", {}), (False, "b", {}))
    (Note(code='a', facts={}),)
    """
    return tuple(Note(code, facts) for holds, code, facts in pairs if holds)
