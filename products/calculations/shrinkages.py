"""How much larger a cavity is than the part that comes out of it."""

from collections.abc import Mapping
from dataclasses import dataclass

from products.calculations.calculators import (
    Answer,
    Calculator,
    Impossible,
    Input,
    Note,
    Output,
    Source,
    noted,
    polymer_input,
)
from products.calculations.sentences import gettext_noop

WIDE_MM = 0.5
MOST_PERCENT = 20
MEASURED = ("measured_cavity_mm", "measured_part_mm")


@dataclass(frozen=True)
class Cavity:
    """A cavity in mm for a part, with what the band of shrinkage makes of the part."""

    cavity_mm: float
    added_mm: float
    part_least_mm: float
    part_most_mm: float
    wrong_mm: float
    notes: tuple[Note, ...] = ()


def shrinkage_percent(*, cavity_mm: float, part_mm: float) -> float:
    """Return the linear shrinkage in per cent of the cavity: S = (Lc - Lp) / Lc.

    >>> round(shrinkage_percent(cavity_mm=100, part_mm=98.2), 6)
    1.8
    """
    return 100 * (cavity_mm - part_mm) / cavity_mm


def cavity(*, part_mm: float, usual: float, least: float, most: float) -> Cavity:
    """Return the cavity for a part, Lc = Lp / (1 - S), shrinkages in per cent of the cavity.

    Lp (1 + S) is a common slip; what it is short by is told as `wrong_mm`. The band says how long the part
    comes out of that cavity; more than half a millimetre is noted. A glossary of mould shrinkage.

    >>> round(cavity(part_mm=500, usual=2, least=1.5, most=5).cavity_mm, 3)
    510.204
    """
    cavity_mm = part_mm / (1 - usual / 100)
    ends = [cavity_mm * (1 - share / 100) for share in (most, least)]
    return Cavity(
        cavity_mm,
        cavity_mm - part_mm,
        *ends,
        cavity_mm - part_mm * (1 + usual / 100),
        noted(
            (ends[1] - ends[0] > WIDE_MM, "wide", {"spread": ends[1] - ends[0]}),
            (not least <= usual <= most, "outside", {"low": least, "high": most}),
        ),
    )


def _answer(given: Mapping) -> Answer:
    usual, measured = given["usual_percent"], None
    empty = [name for name in MEASURED if given[name] is None]
    if len(empty) == 1:
        raise Impossible("half-measured", empty[0])
    if not empty:
        sizes = {"cavity_mm": given["measured_cavity_mm"], "part_mm": given["measured_part_mm"]}
        measured = usual = shrinkage_percent(**sizes)
    band = (given["least_percent"], given["most_percent"])
    least, most = band if measured is None else (measured, measured)
    if usual < 0:
        raise Impossible("negative", "measured_part_mm")
    if usual > MOST_PERCENT:
        raise Impossible("too-much", "measured_part_mm")
    found = cavity(part_mm=given["part_mm"], usual=usual, least=least, most=most)
    return Answer(vars(found) | {"used_percent": usual, "measured_percent": measured}, found.notes)


SHRINKAGE = Calculator(
    name="shrinkage",
    title=gettext_noop("Shrinkage of a cavity"),
    question=gettext_noop("How large is the cavity for a part of this size?"),
    steps=("injecting", "designing"),
    inputs=(
        polymer_input(),
        Input("part_mm", gettext_noop("Part shall be"), "mm", 100, 0.1, 5000),
        Input(
            "measured_cavity_mm",
            gettext_noop("Measured: a cavity"),
            "mm",
            None,
            0.1,
            5000,
            is_optional=True,
            help=gettext_noop(
                "With the part out of it: your own shrinkage is better than any table."
            ),
        ),
        Input(
            "measured_part_mm",
            gettext_noop("Measured: its part"),
            "mm",
            None,
            0.1,
            5000,
            is_optional=True,
        ),
        Input(
            "usual_percent",
            gettext_noop("Shrinkage"),
            "%",
            least=0,
            most=MOST_PERCENT,
            filled_by="mould-shrinkage",
        ),
        Input(
            "least_percent",
            gettext_noop("Shrinkage, least"),
            "%",
            least=0,
            most=MOST_PERCENT,
            filled_by="mould-shrinkage:low",
        ),
        Input(
            "most_percent",
            gettext_noop("Shrinkage, most"),
            "%",
            least=0,
            most=MOST_PERCENT,
            filled_by="mould-shrinkage:high",
        ),
    ),
    outputs=(
        Output("cavity_mm", gettext_noop("Cavity"), "mm", 6, is_main=True),
        Output("used_percent", gettext_noop("Shrinkage reckoned with"), "%", 3),
        Output("measured_percent", gettext_noop("Your measured shrinkage"), "%", 3),
        Output("added_mm", gettext_noop("Larger than the part by"), "mm", 3),
        Output(
            "part_least_mm",
            gettext_noop("Part from it at the most shrinkage"),
            "mm",
            5,
            rounds="down",
        ),
        Output(
            "part_most_mm",
            gettext_noop("Part from it at the least shrinkage"),
            "mm",
            5,
            rounds="up",
        ),
        Output("wrong_mm", gettext_noop("Adding the per cent to the part is short by"), "mm", 2),
    ),
    answer=_answer,
    formula=("S = (L_c − L_p) / L_c", "L_c = L_p / (1 − S)"),
    symbols=(
        ("S", gettext_noop("linear shrinkage, of the cavity"), "%"),
        ("L_c, L_p", gettext_noop("length of the cavity and of the part"), "mm"),
    ),
    sources=(
        Source(gettext_noop("Definition: glossary of mould shrinkage"), ""),
        Source(
            gettext_noop("Bands: general injection processing guideline table; others"), "memory"
        ),
        Source(gettext_noop("The usual figure within a published band"), "judgement"),
    ),
    valid=gettext_noop(
        "For an unfilled polymer, one direction at a time: along and across the flow differ, and so do"
        " thick and thin, a day and a week. Cut steel-safe and measure the first part."
    ),
    notes={
        "wide": gettext_noop(
            "The band leaves the part uncertain by %(spread)s mm: measure your own shrinkage before cutting metal."
        ),
        "outside": gettext_noop("The shrinkage lies outside %(low)s to %(high)s %%."),
        "half-measured": gettext_noop(
            "A measured shrinkage needs both the cavity and its part: fill in this one too, or empty the other."
        ),
        "negative": gettext_noop("A part is not larger than its cavity: check both sizes."),
        "too-much": gettext_noop(
            "The part is so much smaller than the cavity that one was misread."
        ),
    },
)
