"""How long melt stays in a barrel."""

from collections.abc import Mapping
from dataclasses import dataclass

from products.calculations.calculators import (
    BARREL,
    Answer,
    Calculator,
    Impossible,
    Input,
    Note,
    Output,
    Source,
    above,
    noted,
    polymer_input,
)
from products.calculations.sentences import gettext_noop

FLIGHT_FACTOR = 1.4
SHORT_STROKE_DIAMETERS = 4
LONG_STAY_MIN = 5
MINUTE_S = 60


@dataclass(frozen=True)
class Stay:
    """How long melt stays in a barrel, and in how many shots it is through."""

    seconds: float
    shots: float
    notes: tuple[Note, ...] = ()


def stay(*, held_g: float, shot_g: float, cycle_s: float, stroke_diameters: float) -> Stay:
    """Return how long melt stays in a barrel that holds `held_g` of it.

    t = C M j / S, with j = 2 below four diameters of metering stroke, else 1.4, for what stands in
    the flights; published example with j 1.4: 200 g, 100 g, 15 s: 42 s (how-to page on
    residence time). More than five minutes is noted (this project's judgement).

    >>> round(stay(held_g=200, shot_g=100, cycle_s=15, stroke_diameters=4).seconds, 6)
    42.0
    """
    factor = FLIGHT_FACTOR if stroke_diameters >= SHORT_STROKE_DIAMETERS else 2.0
    shots = held_g / shot_g * factor
    seconds = cycle_s * shots
    return Stay(
        seconds,
        shots,
        noted(
            (above(seconds, LONG_STAY_MIN * MINUTE_S), "long-stay", {"minutes": LONG_STAY_MIN}),
            (factor != FLIGHT_FACTOR, "short-stroke", {}),
            (above(shot_g, held_g), "shot-above-held", {}),
        ),
    )


def stay_in_volume(*, melt_g: float, shot_g: float, cycle_s: float) -> Stay:
    """Return how long melt stays in a barrel of which the whole volume is known: t = C M / S.

    The mean time in a vessel is its volume over the flow through it, whatever happens inside
    (Levenspiel, Chemical Reaction Engineering; from memory), so no factor for the flights is needed.

    >>> round(stay_in_volume(melt_g=280, shot_g=100, cycle_s=15).seconds, 6)
    42.0
    """
    shots = melt_g / shot_g
    seconds = cycle_s * shots
    return Stay(
        seconds,
        shots,
        noted(
            (above(seconds, LONG_STAY_MIN * MINUTE_S), "long-stay", {"minutes": LONG_STAY_MIN}),
            (above(shot_g, melt_g), "shot-above-held", {}),
        ),
    )


def _answer_stay(given: Mapping) -> Answer:
    if given["cycle_s"] <= 0:
        raise Impossible("no-cycle", "cycle_s")
    values = _held(given)
    shot = {"shot_g": given["shot_g"], "cycle_s": given["cycle_s"]}
    if values["melt_g"]:
        found = stay_in_volume(melt_g=values["melt_g"], **shot)
    else:
        stroke = given["stroke_diameters"]
        found = stay(held_g=given["held_g"], stroke_diameters=stroke, **shot)
    times = {"minutes": found.seconds / MINUTE_S, "seconds": found.seconds, "shots": found.shots}
    return Answer(times | values, found.notes)


def _held(given: Mapping) -> dict[str, float | None]:
    """Return what the volume of a barrel holds by melt and by solid density, in g; None where not known."""
    volume = given["barrel_cm3"]
    if volume is None:
        return {"melt_g": None, "solid_g": None}
    if given["melt_g_cm3"] is None:
        raise Impossible("no-melt", "melt_g_cm3")
    solid = given["solid_g_cm3"]
    return {"melt_g": volume * given["melt_g_cm3"], "solid_g": volume * solid if solid else None}


RESIDENCE = Calculator(
    name="residence",
    title=gettext_noop("Residence time"),
    question=gettext_noop("How long does melt stay in the barrel?"),
    steps=("injecting",),
    inputs=(
        Input("held_g", gettext_noop("The barrel holds"), "g", 200, 0.1, 100_000),
        Input("shot_g", gettext_noop("Shot, sprue and runner included"), "g", 100, 0.01, 100_000),
        Input("cycle_s", gettext_noop("Cycle, stops included"), "s", 15, 0.5, 36_000),
        Input(
            "stroke_diameters",
            gettext_noop("Metering stroke, in screw diameters"),
            "D",
            4,
            0.1,
            10,
        ),
        Input(
            "barrel_cm3",
            gettext_noop("Barrel volume of the machine"),
            "cm³",
            least=0.1,
            most=100_000,
            is_optional=True,
            help=gettext_noop("Where it is known it counts in place of what the barrel holds."),
        ),
        polymer_input(default="PP"),
        Input(
            "melt_g_cm3",
            gettext_noop("Usual melt density"),
            "g/cm³",
            least=0.005,
            most=3,
            filled_by="melt-density",
            is_optional=True,
        ),
        Input(
            "solid_g_cm3",
            gettext_noop("Solid density"),
            "g/cm³",
            least=0.005,
            most=3,
            filled_by="density",
            is_optional=True,
        ),
    ),
    outputs=(
        Output("minutes", gettext_noop("Melt stays"), "min", 3, is_main=True, rounds="up"),
        Output("seconds", gettext_noop("Melt stays, in seconds"), "s", 3, rounds="up"),
        Output("shots", gettext_noop("Shots until it is through"), gettext_noop("shots"), 3),
        Output("melt_g", gettext_noop("Barrel holds, by melt density"), "g", 3),
        Output("solid_g", gettext_noop("Barrel holds, by solid density"), "g", 3),
    ),
    answer=_answer_stay,
    formula=("t = C · M · j / S", "t = C · V · ρ_melt / S"),
    symbols=(
        ("t, C", gettext_noop("time in the barrel, cycle time"), "s"),
        ("M, S", gettext_noop("what the barrel holds, shot"), "g"),
        ("V, ρ_melt", gettext_noop("barrel volume, density of the melt"), "cm³, g/cm³"),
        ("j", gettext_noop("for what stands in the flights: 1.4, or 2 below 4 D of stroke"), ""),
    ),
    sources=(
        Source(gettext_noop("How-to page on residence time, with its example of 42 s")),
        Source(
            gettext_noop(
                "Volume over flow: Levenspiel, Chemical Reaction Engineering, mean residence time"
            )
        ),
        Source(gettext_noop("More than five minutes counts as long"), "judgement"),
    ),
    valid=gettext_noop(
        "An average: some melt stays longer, most of all behind a worn ring or in a stop."
    ),
    notes={
        "long-stay": gettext_noop(
            "More than %(minutes)s minutes: lower the heat, purge before stops, and mind its fume temperature."
        ),
        "short-stroke": gettext_noop("A stroke below four diameters: the factor 2 is taken."),
        "shot-above-held": gettext_noop("The shot is more than the barrel holds."),
        "no-melt": gettext_noop(
            "The melt's density is not known here: type it, or leave the barrel volume empty."
        ),
        "no-cycle": gettext_noop("A cycle takes some time."),
    },
    caution=BARREL,
)
