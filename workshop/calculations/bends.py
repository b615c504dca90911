"""Bending a sheet over a line of heat: its length before the bend, how tightly, and how long it heats."""

from collections.abc import Mapping
from dataclasses import dataclass
from math import radians, tan

from products.calculations.calculators import (
    FUMES,
    HEATER,
    WINDOW,
    Answer,
    Calculator,
    Impossible,
    Input,
    Note,
    Output,
    Source,
    fume_input,
    fume_notes,
    noted,
    polymer_input,
    window_inputs,
    window_notes,
)
from products.calculations.sentences import gettext_noop
from workshop.calculations.cooling import (
    CONDUCTION_NOTES,
    CONDUCTION_SOURCES,
    DIFFUSIVITIES,
    DIFFUSIVITY,
    DIFFUSIVITY_UNIT,
    Band,
    Body,
    cooling,
    share_left,
)

LEAST_RADIUS_THICKNESSES = 2
USUAL_NEUTRAL = 0.45
STRAIGHT_DEG = 180
HEATED_PER_THICKNESS = 5


@dataclass(frozen=True)
class Bend:
    """A bend: how long its arc is, the flat length, and the zone to heat, in mm."""

    arc_mm: float
    flat_mm: float
    setback_mm: float
    heat_width_mm: float
    least_radius_mm: float
    over_deg: float
    notes: tuple[Note, ...] = ()


@dataclass(frozen=True)
class Leg:
    """The legs of a bent sheet, measured outside to the corner, in mm."""

    first_mm: float
    second_mm: float


def bend(
    legs: Leg,
    *,
    thickness_mm: float,
    radius_mm: float,
    angle_deg: float,
    neutral: float = USUAL_NEUTRAL,
    springback_deg: float = 0,
) -> Bend:
    """Return the flat length of a sheet with one bend by an angle, radius inside, legs outside.

    Arc = angle (r + k t), k the neutral share of the thickness; each leg ends (r + t) tan(angle/2)
    before the corner. Flat = legs less setbacks plus arc. k of 0.45 and a least radius of
    two thicknesses are common practice; the heated width is the arc, at least five thicknesses (this project's
    judgement). Raises Impossible `short-leg` when a leg ends inside of the bend.

    >>> found = bend(Leg(100, 100), thickness_mm=5, radius_mm=10, angle_deg=90)
    >>> round(found.arc_mm, 2), round(found.flat_mm, 2)
    (19.24, 189.24)
    """
    arc = radians(angle_deg) * (radius_mm + neutral * thickness_mm)
    setback = (radius_mm + thickness_mm) * tan(radians(angle_deg) / 2)
    for name, leg in vars(legs).items():
        if leg < setback:
            raise Impossible("short-leg", name)
    least = LEAST_RADIUS_THICKNESSES * thickness_mm
    return Bend(
        arc_mm=arc,
        flat_mm=legs.first_mm + legs.second_mm - 2 * setback + arc,
        setback_mm=setback,
        heat_width_mm=max(arc, HEATED_PER_THICKNESS * thickness_mm),
        least_radius_mm=least,
        over_deg=angle_deg + springback_deg,
        notes=noted(
            (radius_mm < least, "tight", {"least": least}),
            (springback_deg == 0, "measure-springback", {}),
            (angle_deg + springback_deg > STRAIGHT_DEG, "over-straight", {}),
        ),
    )


def _answer(given: Mapping) -> Answer:
    names = ("thickness_mm", "radius_mm", "angle_deg", "neutral", "springback_deg")
    legs = Leg(given["first_mm"], given["second_mm"])
    found = bend(legs, **{name: given[name] for name in names})
    if not given["start_c"] < given["end_c"] < given["face_c"]:
        raise Impossible("not-between", "end_c")
    theta = share_left(start_c=given["start_c"], face_c=given["face_c"], end_c=given["end_c"])
    body = Body("plate", given["thickness_mm"] * (1 if given["heated"] == "both" else 2))
    diffusivity = Band(*(given[name] for name in ("diffusivity", "slow", "fast")))
    heat = cooling(body, theta=theta, diffusivity=diffusivity)
    minutes = {f"heat_{end}_min": getattr(heat.centre, end) / 60 for end in vars(heat.centre)}
    notes = window_notes(given, given["end_c"]) + fume_notes(given, given["face_c"])
    return Answer(vars(found) | minutes, found.notes + notes)


BEND = Calculator(
    name="bend",
    title=gettext_noop("Bend"),
    question=gettext_noop(
        "How long is the flat sheet, how tight may it bend, and how long does it heat?"
    ),
    steps=("bending",),
    inputs=(
        polymer_input(default="PMMA"),
        Input("thickness_mm", gettext_noop("Thickness"), "mm", 5, 0.3, 50),
        Input("first_mm", gettext_noop("First leg, outside"), "mm", 100, 1, 5000),
        Input("second_mm", gettext_noop("Second leg, outside"), "mm", 100, 1, 5000),
        Input("angle_deg", gettext_noop("Bent by"), "°", 90, 1, 170),
        Input("radius_mm", gettext_noop("Radius inside"), "mm", 10, 0, 1000),
        Input(
            "springback_deg",
            gettext_noop("Springs back by, measured"),
            "°",
            0,
            0,
            45,
            help=gettext_noop(
                "Bend a strip of the same sheet, let it cool and measure: no table holds."
            ),
        ),
        Input(
            "neutral",
            gettext_noop("Neutral line, from inside"),
            gettext_noop("of the thickness"),
            USUAL_NEUTRAL,
            0.3,
            0.5,
            basis="common",
        ),
        Input(
            "heated",
            gettext_noop("Heated from"),
            default="both",
            kind="choice",
            choices=(("both", gettext_noop("both sides")), ("one", gettext_noop("one side only"))),
        ),
        Input("start_c", gettext_noop("Sheet at the start"), "°C", 20, -20, 200),
        Input(
            "face_c",
            gettext_noop("Its surface gets"),
            "°C",
            170,
            30,
            350,
            help=gettext_noop(
                "The surface of the sheet, not the heater; below where it fumes or blisters."
            ),
        ),
        Input(
            "end_c",
            gettext_noop("Its middle shall reach"),
            "°C",
            150,
            20,
            349,
            help=gettext_noop(
                "PMMA 143 to 160 °C by one forming table; see the data sheet of yours."
            ),
        ),
        *DIFFUSIVITIES,
        *window_inputs("form-sheet"),
        fume_input(),
    ),
    outputs=(
        Output("flat_mm", gettext_noop("Flat length to cut"), "mm", 5, is_main=True),
        Output(
            "heat_usual_min",
            gettext_noop("Heating takes"),
            "min",
            2,
            is_main=True,
            ends=("heat_least_min", "heat_most_min"),
        ),
        Output("heat_least_min", gettext_noop("At the fastest"), "min", 2, rounds="down"),
        Output("heat_most_min", gettext_noop("At the slowest"), "min", 2, rounds="up"),
        Output("arc_mm", gettext_noop("Length of the arc"), "mm", 3),
        Output("setback_mm", gettext_noop("Bend begins before the corner by"), "mm", 3),
        Output("least_radius_mm", gettext_noop("Least radius inside"), "mm", 3, rounds="up"),
        Output("heat_width_mm", gettext_noop("Width to heat"), "mm", 3),
        Output("over_deg", gettext_noop("Bend it by"), "°", 3),
    ),
    answer=_answer,
    formula=(
        "arc = φ · (r + k · t)",
        "flat = a + b − 2 · (r + t) · tan(φ/2) + arc",
        "time ≈ s² / (π² α) · ln(4/π · (T_f − T_0) / (T_f − T_c))",
    ),
    symbols=(
        ("φ", gettext_noop("angle that the sheet is bent by"), "°"),
        ("r, t", gettext_noop("radius inside, thickness"), "mm"),
        ("a, b", gettext_noop("legs, outside to the corner"), "mm"),
        ("k", gettext_noop("where the neutral line lies, from inside"), ""),
        ("s", gettext_noop("thickness, twice that when one side is heated"), "mm"),
        ("α", DIFFUSIVITY, DIFFUSIVITY_UNIT),
    ),
    sources=(
        Source(gettext_noop("Geometry of a bend"), "exact"),
        Source(gettext_noop("Neutral line at 0.45, least radius of two thicknesses"), "common"),
        Source(gettext_noop("Heated width of at least five thicknesses"), "judgement"),
        *CONDUCTION_SOURCES,
    ),
    valid=gettext_noop(
        "For a sheet of one thickness with an even heat. Dry hygroscopic sheet first; bend a test strip."
    ),
    notes=CONDUCTION_NOTES
    | FUMES
    | WINDOW
    | {
        "not-between": gettext_noop(
            "The middle ends between the start and the surface's temperature."
        ),
        "tight": gettext_noop(
            "Tighter than %(least)s mm inside: it may thin out, whiten or crack."
        ),
        "measure-springback": gettext_noop(
            "The springback is still to be measured on a strip of this sheet."
        ),
        "over-straight": gettext_noop("With its springback it would be bent over itself."),
        "short-leg": gettext_noop(
            "This leg ends inside of the bend: make it longer or the radius less."
        ),
    },
    caution=HEATER,
)
