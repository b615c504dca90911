"""What the calculators know of polymers, and their answers in the reader's words and digits."""

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import ROUND_CEILING, ROUND_FLOOR, ROUND_HALF_EVEN, Decimal
from math import floor, log10

from django.utils.formats import date_format
from django.utils.timezone import localtime
from django.utils.translation import gettext

from inventory.calculations.own_figures import RULES, WINDOW
from inventory.calculations.properties import ENDS, OWN, Figure, figures_of
from inventory.models import OwnFigure, Polymer
from inventory.queries.masses import localised
from inventory.queries.own_figures import own_by_polymer, own_ceiling
from products.calculations.calculators import BASES, Answer, Calculator, Input, Note, Output

NOTE_DIGITS = 3
GIVEN_DIGITS = 6
FLOAT_DIGITS = 12
ROUNDINGS = {"up": ROUND_CEILING, "down": ROUND_FLOOR}
NO_BREAK = "\u00a0"
NOTHING = "\u2013"


@dataclass(frozen=True)
class PolymerFacts:
    """A polymer by its symbol, whether it is refused here, and its figures by name."""

    symbol: str
    is_rejected: bool
    figures: Mapping[str, Figure]


@dataclass(frozen=True)
class Filled:
    """A figure that an empty box took from a polymer."""

    symbol: str
    figure: Figure

    @property
    def said(self) -> str:
        """Return whose figure it is and on what it rests, in the reader's language."""
        since = self.figure.since
        if since is None:
            return f"{self.symbol}, {gettext(BASES[self.figure.basis])}"
        day = date_format(localtime(since), "SHORT_DATE_FORMAT")
        return gettext("%(symbol)s, own value since %(day)s") % {"symbol": self.symbol, "day": day}


@dataclass(frozen=True)
class Line:
    """A figure with its label and unit, as a page prints it; the value as the API gives it."""

    name: str
    label: str
    said: str
    unit: str = ""
    value: float | str | None = None
    is_main: bool = False
    source: str = ""
    band: str = ""

    @property
    def number(self) -> str:
        """Return the figure without its unit, for a page that writes the unit smaller."""
        return self.said.removesuffix(self.unit).rstrip(NO_BREAK) if self.unit else self.said


def polymer_facts() -> dict[str, PolymerFacts]:
    """Return every polymer with a density or properties, by symbol; the workshop's own figures first."""
    own = own_by_polymer()
    rows = {row.symbol: facts_of(row, own.get(row.pk, {})) for row in Polymer.objects.all()}
    return {symbol: facts for symbol, facts in rows.items() if facts.figures}


def facts_of(polymer: Polymer, own: Mapping[str, OwnFigure]) -> PolymerFacts:
    """Return the figures of a polymer: its densities in g/cm3, properties, windows, and where it fumes in C.

    A figure of the workshop's own stands in the place of the reference's.
    """
    figures = figures_of(polymer.properties)
    for name, (low, high, keys) in polymer.windows.items():
        figures[f"{name}:low"] = Figure(low, tuple(keys.split()))
        figures[f"{name}:high"] = Figure(high, tuple(keys.split()))
    for end, name in (("low", "density:low"), ("typical", "density"), ("high", "density:high")):
        value = getattr(polymer, f"density_{end}")
        if value is not None:
            keys = polymer.sources.get(f"density_{end}", "").split()
            figures[name] = Figure(float(value), tuple(keys))
    if polymer.fume_above_c:
        keys = polymer.sources.get("fume_above_c", "").split()
        figures["fume-above"] = Figure(polymer.fume_above_c, tuple(keys))
    for name, row in own.items():
        figures |= own_figures_of(name, row)
    if (row := own_ceiling(polymer, own)) is not None:
        figures["fume-above"] = Figure(int(row.typical), OWN, row.happened_at)
    return PolymerFacts(polymer.symbol, polymer.is_rejected, figures)


def own_figures_of(name: str, row: OwnFigure) -> dict[str, Figure]:
    """Return the figures of a row of the workshop's own; of a window its two ends, of a ceiling none."""
    values = {end: getattr(row, end) for end in ENDS}
    if RULES[name].kind == WINDOW:
        values = {end: values[end] for end in RULES[name].ends}
    if None in values.values():
        return {}
    return {
        name if end == "typical" else f"{name}:{end}": Figure(float(value), OWN, row.happened_at)
        for end, value in values.items()
    }


def places_of(value: float, digits: int) -> int:
    """Return how many decimals show so many significant digits of a figure; below none for whole ones.

    >>> places_of(0.0123, 2), places_of(1085.2, 2)
    (3, -2)
    """
    return digits - 1 - floor(log10(abs(value))) if value else 0


def rounded(value: float, digits: int, rounds: str) -> Decimal:
    """Return a figure to so many significant digits: up, down, or to the nearest.

    To the nearest, a figure of more whole digits keeps them all. What floats are off by rounds nothing.

    >>> rounded(1085.2, 2, "up"), rounded(14.38, 2, "down"), rounded(1085.2, 2, "")
    (Decimal('1.1E+3'), Decimal('14'), Decimal('1085'))
    """
    if not rounds:
        return Decimal(f"{Decimal(repr(float(value))):.{max(0, places_of(value, digits))}f}")
    exact = Decimal(f"{value:.{FLOAT_DIGITS}g}")
    step = Decimal(1).scaleb(-places_of(float(exact), digits))
    return exact.quantize(step, rounding=ROUNDINGS[rounds])


def figure_said(value: float | str | None, unit: str, asked: Output, places: int | None) -> str:
    """Return a figure with its unit in the reader's marks: to its digits, or to so many decimals."""
    if value is None:
        return NOTHING
    if isinstance(value, str):
        said = gettext(value) if value else NOTHING
        return f"{said}{NO_BREAK}{unit}" if unit else said
    if places is None:
        number = rounded(value, asked.digits, asked.rounds)
    else:
        rounding = ROUNDINGS.get(asked.rounds, ROUND_HALF_EVEN)
        exact = Decimal(f"{value:.{FLOAT_DIGITS}g}")
        number = exact.quantize(Decimal(1).scaleb(-places), rounding=rounding)
    return localised(f"{number:f}", unit).strip().replace(" ", NO_BREAK)


def places_known(rows: Mapping[str, Output], values: Mapping, asked: Output) -> int | None:
    """Return how many decimals a figure has by its uncertainty; None for one without."""
    if not asked.known_to:
        return None
    uncertainty = rows[asked.known_to]
    said = rounded(values[asked.known_to], uncertainty.digits, uncertainty.rounds)
    return max(0, -said.as_tuple().exponent)


def output_lines(calculator: Calculator, answer: Answer) -> list[Line]:
    """Return the figures of an answer, those that were asked for first."""
    rows, values = {each.name: each for each in calculator.outputs}, answer.values
    said = {
        name: figure_said(values[name], gettext(each.unit), each, places_known(rows, values, each))
        for name, each in rows.items()
    }
    return [
        Line(
            name,
            gettext(each.label),
            said[name],
            gettext(each.unit),
            values[name],
            each.is_main,
            band=band_said([said[end] for end in each.ends]),
        )
        for name, each in rows.items()
    ]


def band_said(ends: list[str]) -> str:
    """Return the two ends of a band in words, or nothing without ends."""
    if not ends:
        return ""
    return gettext("%(least)s to %(most)s") % {"least": ends[0], "most": ends[1]}


def given_lines(calculator: Calculator, given: Mapping, filled: Mapping[str, Filled]) -> list[Line]:
    """Return what an answer was reckoned with, and where what nobody typed came from."""
    return [
        Line(
            each.name,
            gettext(each.label),
            given_said(each, given[each.name]),
            gettext(each.unit) if each.unit else "",
            given[each.name],
            source=filled[each.name].said if each.name in filled else "",
        )
        for each in calculator.inputs
        if given[each.name] not in (None, "")
    ]


def given_said(asked: Input, value) -> str:
    """Return what was put into a box as a page prints it: without zeros at the end."""
    if isinstance(value, str):
        return gettext(dict(asked.choices).get(value, value)) if value else NOTHING
    return trimmed(value, asked.unit, GIVEN_DIGITS)


def trimmed(value: float, unit: str, digits: int) -> str:
    """Return a figure to at most so many significant digits, without zeros at the end."""
    number = f"{Decimal(f'{value:.{digits}g}'):f}"
    return localised(number, gettext(unit) if unit else "").strip().replace(" ", NO_BREAK)


def note_said(calculator: Calculator, note: Note) -> str:
    """Return the sentence of a note in the reader's language; figures that differ do not read alike."""
    numbers = {name: fact for name, fact in note.facts.items() if not isinstance(fact, str)}
    for digits in range(NOTE_DIGITS, FLOAT_DIGITS + 1):
        said = {name: trimmed(fact, "", digits) for name, fact in numbers.items()}
        if len(set(said.values())) == len(set(numbers.values())):
            break
    return gettext(calculator.notes[note.code]) % (dict(note.facts) | said)
