"""How long a charge heats up between platens, and what heat a pressing takes with its mould."""

from collections.abc import Mapping
from dataclasses import dataclass

from products.calculations.calculators import (
    FUMES,
    PRESS,
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

KJ_PER_KWH = 3600
STEEL_KJ_KG_K = 0.49
MINUTE_S = 60


@dataclass(frozen=True)
class Plastic:
    """Heat of a polymer: specific heats in kJ/(kg K), and what melting takes in kJ/kg."""

    solid_kj_kg_k: float
    melt_kj_kg_k: float
    fusion_kj_kg: float


@dataclass(frozen=True)
class Pressing:
    """Heat of one pressing in kWh, and the metered energy beside it."""

    polymer_kwh: float
    ideal_kwh_kg: float
    mould_kwh: float
    total_kwh: float
    total_kwh_kg: float
    mould_share_percent: float
    warm_up_min: float | None = None
    metered_kwh_kg: float | None = None
    over_ideal: float | None = None
    notes: tuple[Note, ...] = ()


@dataclass(frozen=True)
class Temperatures:
    """From where to where something is heated, and where it melts, in C."""

    start_c: float
    melt_at_c: float
    end_c: float


@dataclass(frozen=True)
class Meter:
    """Power of the heaters in kW and energy read off the meter in kWh, where there is either."""

    heater_kw: float | None = None
    metered_kwh: float | None = None


def ideal_heat_kj_kg(plastic: Plastic, at: Temperatures) -> float:
    """Return the least heat in kJ/kg that brings a polymer from start to end through its melting.

    q = cp_s (Tm - T0) + dH + cp_l (T - Tm); below melting only the first term. For PE-HD from 20 to
    200 C with one specific heat of 2.2 and 201 kJ/kg: 597 kJ/kg = 0.166 kWh/kg. Handbooks have 0.19 to
    0.21, because cp rises before melting (from memory).

    >>> round(ideal_heat_kj_kg(Plastic(2.2, 2.2, 201), Temperatures(20, 130, 200)))
    597
    """
    if at.end_c <= at.melt_at_c:
        return plastic.solid_kj_kg_k * (at.end_c - at.start_c)
    solid = plastic.solid_kj_kg_k * (at.melt_at_c - at.start_c)
    return solid + plastic.fusion_kj_kg + plastic.melt_kj_kg_k * (at.end_c - at.melt_at_c)


def mould_heat_kj(*, mould_kg: float, specific_kj_kg_k: float, rise_k: float) -> float:
    """Return the heat in kJ that a mould takes with it.

    Two steel plates of 1 m x 1 m x 15 mm, 235.5 kg, through 160 K: 18.5 MJ or 5.13 kWh.

    >>> round(mould_heat_kj(mould_kg=235.5, specific_kj_kg_k=0.49, rise_k=160))
    18463
    """
    return mould_kg * specific_kj_kg_k * rise_k


def pressing(*, charge_kg: float, ideal_kj_kg: float, mould_kj: float, meter: Meter) -> Pressing:
    """Return the heat of one pressing with its mould, against the ideal and a meter.

    A metered energy per kg below the ideal means that a mass or the meter was read wrong
    (`below-ideal`). The mould often takes more than the polymer (`mould-first`).

    >>> found = pressing(charge_kg=9.55, ideal_kj_kg=597, mould_kj=18463, meter=Meter(heater_kw=10))
    >>> round(found.polymer_kwh, 2), round(found.mould_kwh, 2), round(found.warm_up_min)
    (1.58, 5.13, 40)
    """
    polymer_kwh, mould_kwh = charge_kg * ideal_kj_kg / KJ_PER_KWH, mould_kj / KJ_PER_KWH
    total_kwh, ideal = polymer_kwh + mould_kwh, ideal_kj_kg / KJ_PER_KWH
    metered = meter.metered_kwh / charge_kg if meter.metered_kwh is not None else None
    return Pressing(
        polymer_kwh=polymer_kwh,
        ideal_kwh_kg=ideal,
        mould_kwh=mould_kwh,
        total_kwh=total_kwh,
        total_kwh_kg=total_kwh / charge_kg,
        mould_share_percent=100 * mould_kwh / total_kwh,
        warm_up_min=total_kwh / meter.heater_kw * MINUTE_S if meter.heater_kw else None,
        metered_kwh_kg=metered,
        over_ideal=metered / ideal if metered is not None else None,
        notes=noted(
            (metered is not None and metered < ideal, "below-ideal", {}),
            (mould_kwh > polymer_kwh, "mould-first", {"times": mould_kwh / polymer_kwh}),
        ),
    )


def _answer_charge(given: Mapping) -> Answer:
    if not given["start_c"] < given["end_c"] < given["platen_c"]:
        raise Impossible("not-between", "end_c")
    theta = share_left(start_c=given["start_c"], face_c=given["platen_c"], end_c=given["end_c"])
    diffusivity = Band(*(given[name] for name in ("diffusivity", "slow", "fast")))
    found = cooling(Body("plate", given["thickness_mm"]), theta=theta, diffusivity=diffusivity)
    minutes = {f"{k}_min": getattr(found.centre, k) / MINUTE_S for k in ("usual", "least", "most")}
    times = {"usual_s": found.centre.usual, "doubled_min": 4 * found.centre.usual / MINUTE_S}
    average = {"average_min": found.average.usual / MINUTE_S}
    platen_c = given["platen_c"]
    heat = window_notes(given, platen_c) + fume_notes(given, platen_c)
    notes = found.notes + unmelted_notes(given) + heat
    return Answer(minutes | times | average, notes)


def _answer_pressing(given: Mapping) -> Answer:
    at = Temperatures(given["start_c"], given["melt_at_c"], given["end_c"])
    if not at.start_c < min(at.melt_at_c, at.end_c):
        raise Impossible("no-rise", "start_c")
    names = ("solid_kj_kg_k", "melt_kj_kg_k", "fusion_kj_kg")
    ideal = ideal_heat_kj_kg(Plastic(*(given[name] for name in names)), at)
    mould = mould_heat_kj(
        mould_kg=given["mould_kg"],
        specific_kj_kg_k=given["mould_kj_kg_k"],
        rise_k=max(0, given["end_c"] - given["mould_start_c"]),
    )
    meter = Meter(given["heater_kw"], given["metered_kwh"])
    found = pressing(charge_kg=given["charge_kg"], ideal_kj_kg=ideal, mould_kj=mould, meter=meter)
    notes = found.notes + unmelted_notes(given) + fume_notes(given, given["end_c"])
    return Answer(vars(found), notes)


def melting_input(*, is_optional: bool = False) -> Input:
    """Return the box of where a polymer melts in C, or softens when it is amorphous, filled by the polymer.

    >>> melting_input().filled_by
    'melts-at'
    """
    return Input(
        "melt_at_c",
        gettext_noop("Melts at"),
        "°C",
        least=20,
        most=400,
        filled_by="melts-at",
        is_optional=is_optional,
        help=gettext_noop("Of an amorphous polymer: where it softens."),
    )


def unmelted_notes(given: Mapping) -> tuple[Note, ...]:
    """Return a note when what is heated stays at or below where its polymer melts.

    >>> [note.code for note in unmelted_notes({"melt_at_c": 225, "end_c": 200})]
    ['unmelted']
    """
    melts, end = given["melt_at_c"], given["end_c"]
    return noted((melts is not None and end <= melts, "unmelted", {"end": end, "melts": melts}))


CHARGE_HEATING = Calculator(
    name="charge-heating",
    title=gettext_noop("Charge heat-up"),
    question=gettext_noop(
        "How long does a charge lie between the platens until its middle is hot?"
    ),
    steps=("pressing",),
    inputs=(
        polymer_input(),
        Input(
            "thickness_mm",
            gettext_noop("Thickness between the platens"),
            "mm",
            12,
            0.2,
            300,
            help=gettext_noop("Of a loose bed: its height, and a smaller diffusivity for its air."),
        ),
        Input("start_c", gettext_noop("Charge at the start"), "°C", 20, -20, 300),
        Input("platen_c", gettext_noop("Platens"), "°C", 200, 30, 400),
        Input("end_c", gettext_noop("Middle shall reach"), "°C", 180, 20, 399),
        *DIFFUSIVITIES,
        melting_input(is_optional=True),
        *window_inputs("press-platen"),
        fume_input(),
    ),
    outputs=(
        Output(
            "usual_min",
            gettext_noop("Until the middle is there"),
            "min",
            is_main=True,
            ends=("least_min", "most_min"),
            rounds="up",
        ),
        Output("least_min", gettext_noop("At the fastest"), "min", 2, rounds="down"),
        Output("most_min", gettext_noop("At the slowest"), "min", 2, rounds="up"),
        Output("average_min", gettext_noop("Until the average is there"), "min", 3, rounds="up"),
        Output(
            "usual_s", gettext_noop("Until the middle is there, in seconds"), "s", 3, rounds="up"
        ),
        Output("doubled_min", gettext_noop("Were it twice as thick"), "min", 3, rounds="up"),
    ),
    answer=_answer_charge,
    formula=("t ≈ s² / (π² α) · ln(4/π · (T_p − T_0) / (T_p − T_c))",),
    symbols=(
        ("t", gettext_noop("time"), "s"),
        ("s", gettext_noop("thickness between the platens"), "mm"),
        ("α", DIFFUSIVITY, DIFFUSIVITY_UNIT),
        ("T_p, T_0, T_c", gettext_noop("platens, charge at the start, its middle"), "°C"),
    ),
    sources=CONDUCTION_SOURCES,
    valid=gettext_noop(
        "For platens that stay hot and touch everywhere. Air between the flake, the cold mould and latent"
        " heat make it slower: measure the middle once with a thermocouple."
    ),
    notes=CONDUCTION_NOTES
    | FUMES
    | WINDOW
    | {
        "not-between": gettext_noop(
            "The middle ends between the charge's start and the platens' temperature."
        ),
        "short-off": gettext_noop(
            "The short formula would say %(short)s s: it fails so early, and the whole series is taken."
        ),
        "long": gettext_noop(
            "Over ten minutes at the slowest, and the outside is hot all that time: mind its fume temperature."
        ),
        "unmelted": gettext_noop(
            "%(end)s °C is not above %(melts)s °C, where this polymer melts or softens: the middle stays solid."
        ),
    },
    caution=PRESS,
)

PRESS_HEAT = Calculator(
    name="press-heat",
    title=gettext_noop("Heat of a pressing"),
    question=gettext_noop(
        "How much energy do a charge and its mould take, and does the meter agree?"
    ),
    steps=("pressing",),
    inputs=(
        polymer_input(),
        Input("charge_kg", gettext_noop("Charge"), "kg", 9.55, 0.001, 1000),
        Input("start_c", gettext_noop("Charge at the start"), "°C", 20, -20, 300),
        Input("end_c", gettext_noop("Heated to"), "°C", 200, 20, 400),
        Input(
            "mould_kg", gettext_noop("Mould plates that are heated with it"), "kg", 235.5, 0, 20_000
        ),
        Input("mould_start_c", gettext_noop("Mould at the start"), "°C", 40, -20, 400),
        Input(
            "mould_kj_kg_k",
            gettext_noop("Specific heat of the mould"),
            "kJ/(kg K)",
            STEEL_KJ_KG_K,
            0.1,
            4.2,
            help=gettext_noop("Steel 0.49, aluminium 0.90 (from memory)."),
        ),
        Input(
            "heater_kw",
            gettext_noop("Power of the heaters"),
            "kW",
            None,
            0.05,
            500,
            is_optional=True,
        ),
        Input(
            "metered_kwh", gettext_noop("Metered energy"), "kWh", None, 0, 10_000, is_optional=True
        ),
        Input(
            "solid_kj_kg_k",
            gettext_noop("Specific heat, solid"),
            "kJ/(kg K)",
            least=0.1,
            most=10,
            filled_by="specific-heat-solid",
        ),
        Input(
            "melt_kj_kg_k",
            gettext_noop("Specific heat, melt"),
            "kJ/(kg K)",
            least=0.1,
            most=10,
            filled_by="specific-heat-melt",
        ),
        Input(
            "fusion_kj_kg",
            gettext_noop("Heat of fusion"),
            "kJ/kg",
            least=0,
            most=500,
            filled_by="heat-of-fusion",
        ),
        melting_input(),
        fume_input(),
    ),
    outputs=(
        Output("total_kwh", gettext_noop("Charge and mould together"), "kWh", 3, is_main=True),
        Output("polymer_kwh", gettext_noop("The charge alone"), "kWh", 3, is_main=True),
        Output("mould_kwh", gettext_noop("The mould alone"), "kWh", 3),
        Output("mould_share_percent", gettext_noop("Share of the mould"), "%", 3),
        Output("ideal_kwh_kg", gettext_noop("Ideal least for the plastic"), "kWh/kg", 3),
        Output("total_kwh_kg", gettext_noop("With the mould"), "kWh/kg", 3),
        Output("warm_up_min", gettext_noop("Heaters need at least"), "min", 3),
        Output("metered_kwh_kg", gettext_noop("Metered"), "kWh/kg", 3),
        Output("over_ideal", gettext_noop("Metered against the ideal"), gettext_noop("times"), 3),
    ),
    answer=_answer_pressing,
    formula=(
        "q = cp_s · (T_m − T_0) + ΔH + cp_l · (T − T_m)",
        "Q = m · q + m_mould · cp_mould · ΔT_mould",
        "t = Q / P",
    ),
    symbols=(
        ("q, Q", gettext_noop("heat for a kilogram, and in all"), "kJ/kg, kWh"),
        ("cp_s, cp_l", gettext_noop("specific heat, solid and melt"), "kJ/(kg K)"),
        ("ΔH", gettext_noop("heat of fusion of what is crystalline"), "kJ/kg"),
        ("T_0, T_m, T", gettext_noop("start, melting, end"), "°C"),
        ("P", gettext_noop("power of the heaters"), "kW"),
    ),
    sources=(
        Source(gettext_noop("Sum of heats"), "exact"),
        Source(
            gettext_noop(
                "Specific heats: Crawford, Plastics Engineering, table 1.8, and NETZSCH pages; melts"
            ),
            "memory",
        ),
        Source(gettext_noop("Heats of fusion: NETZSCH pages and TA Instruments note TN048")),
    ),
    valid=gettext_noop(
        "The least that physics asks, without losses to air, frame and water. Handbooks have a quarter more,"
        " for the specific heat rises before melting (from memory)."
    ),
    notes=FUMES
    | {
        "below-ideal": gettext_noop(
            "The meter shows less than physics asks for: a mass or a reading is wrong."
        ),
        "mould-first": gettext_noop(
            "The mould takes %(times)s times the plastic's heat: thin plates, or pressing while warm, help most."
        ),
        "no-rise": gettext_noop("The start lies below the melting and below the end."),
        "unmelted": gettext_noop(
            "%(end)s °C is not above %(melts)s °C, where this polymer melts or softens: no melting is in it."
        ),
    },
    caution=PRESS,
)
