"""Density by weighing in a liquid, with its uncertainty, and what floats in which bath."""

from collections.abc import Mapping
from dataclasses import dataclass
from math import hypot

from inventory.calculations.densities import MARGIN, float_or_sink
from inventory.calculations.weighing import COVERAGE, resolution_uncertainty
from products.calculations.calculators import (
    BATH,
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

WATER_23_C = 0.99754  # g/cm3, IAPWS-95
COARSE_G_CM3 = 0.01
BATHS = {
    # g/cm3: water by IAPWS-95; brines from a NaCl table (Torun physics laboratory), 20 C; alcohol from memory
    "water": 0.9975,
    "brine-11": 1.08,
    "brine-14": 1.10,
    "brine-full": 1.197,
    "alcohol": 0.91,
}
# NaCl in water at 20 C: per cent by mass and g/cm3, from the same table
BRINE = ((0.0, 0.9982), (10.0, 1.0707), (20.0, 1.1478), (26.0, 1.1972))
FATES = {
    "floats": gettext_noop("floats"),
    "sinks": gettext_noop("sinks"),
    "unsure": gettext_noop("too near to tell"),
}


@dataclass(frozen=True)
class Density:
    """A density in g/cm3 with its expanded uncertainty, k = 2."""

    g_cm3: float
    standard_g_cm3: float
    expanded_g_cm3: float
    notes: tuple[Note, ...] = ()


def density_by_buoyancy(
    *,
    air_g: float,
    liquid_g: float,
    liquid_g_cm3: float,
    resolution_g: float,
    has_sinker: bool = False,
) -> Density:
    """Return a density from the mass in air and the apparent mass in a liquid; negative when it floats.

    rho = m_air rho_L / (m_air - m_L), ISO 1183-1 method A (formula from memory). Each reading has
    u = d / (2 sqrt 3); by the GUM u(rho) = rho_L / (m_air - m_L)2 x sqrt((m_L u)2 + (m_air u)2). With a
    sinker m_L is the difference of two readings, so (m_air u)2 comes in twice. The
    liquid's density counts as known. PS: 10.000 g, 0.499 g in water at 23 C, 1 mg: 1.0499 g/cm3.
    Raises Impossible `no-buoyancy` when the liquid carries nothing.

    >>> found = density_by_buoyancy(
    ...     air_g=10, liquid_g=0.499, liquid_g_cm3=0.99754, resolution_g=0.001
    ... )
    >>> round(found.g_cm3, 4), round(found.standard_g_cm3, 5)
    (1.0499, 3e-05)
    """
    carried_g = air_g - liquid_g
    if carried_g <= 0:
        raise Impossible("no-buoyancy", "liquid_g")
    u_g = resolution_uncertainty(resolution_g)
    in_liquid = [air_g * u_g] * (2 if has_sinker else 1)
    standard = liquid_g_cm3 / carried_g**2 * hypot(liquid_g * u_g, *in_liquid)
    return Density(
        air_g * liquid_g_cm3 / carried_g,
        standard,
        COVERAGE * standard,
        noted((COVERAGE * standard > COARSE_G_CM3, "coarse", {})),
    )


def liquid_with_sinker(*, air_g: float, sinker_g: float, both_g: float) -> float:
    """Return the apparent mass of a floating piece from that of its sinker alone and of both, all in the liquid.

    ASTM D792: sg = a / (a + w - b), so a piece of 5.000 with w 10.000 and b 9.780 has sg 0.95785.

    >>> round(5 / (5 - liquid_with_sinker(air_g=5, sinker_g=10, both_g=9.78)), 5)
    0.95785
    """
    return air_g - (air_g + sinker_g - both_g)


def brine_g_cm3(percent: float) -> float:
    """Return the density in g/cm3 of NaCl brine at 20 C, between the lines of the table.

    >>> round(brine_g_cm3(15), 4)
    1.1092
    """
    return _between(percent, BRINE)


def brine_percent(g_cm3: float) -> float:
    """Return how many per cent of NaCl by mass a bath of a density has; 1.08 is about 11.2 %.

    >>> round(brine_percent(1.08), 1)
    11.2
    """
    return _between(g_cm3, tuple((density, percent) for percent, density in BRINE))


def _between(x: float, rows: tuple[tuple[float, float], ...]) -> float:
    ends = zip(rows, rows[1:], strict=False)
    (x1, y1), (x2, y2) = next((pair for pair in ends if x <= pair[1][0]), (rows[-2], rows[-1]))
    return y1 + (y2 - y1) * (x - x1) / (x2 - x1)


def _answer_density(given: Mapping) -> Answer:
    liquid_g, has_sinker = given["liquid_g"], given["sinker_g"] is not None
    if has_sinker:
        liquid_g = liquid_with_sinker(
            air_g=given["air_g"], sinker_g=given["sinker_g"], both_g=given["liquid_g"]
        )
    found = density_by_buoyancy(
        air_g=given["air_g"],
        liquid_g=liquid_g,
        liquid_g_cm3=given["liquid_g_cm3"],
        resolution_g=given["resolution_g"],
        has_sinker=has_sinker,
    )
    low, high = given["density_low"], given["density_high"]
    known = low is not None and high is not None
    margin = found.expanded_g_cm3
    inside = known and low - margin <= found.g_cm3 <= high + margin
    verdict = noted((known and inside, "fits", {}), (known and not inside, "differs", {}))
    ends = {
        "least_g_cm3": found.g_cm3 - margin,
        "most_g_cm3": found.g_cm3 + margin,
        "volume_cm3": given["air_g"] / found.g_cm3,
    }
    return Answer(vars(found) | ends, found.notes + verdict)


def _answer_bath(given: Mapping) -> Answer:
    liquid = given["own_g_cm3"] or BATHS[given["bath"]]
    low, high = given["density_low"], given["density_high"]
    if low > high:
        raise Impossible("order", "density_low")
    fate = float_or_sink(
        density_low=low, density_high=high, liquid_density=liquid, margin=given["margin_g_cm3"]
    )
    salty = BRINE[0][1] <= liquid <= BRINE[-1][1]
    percent = brine_percent(liquid) if salty else None
    values = {
        "fate": FATES[fate],
        "liquid_g_cm3": liquid,
        "salt_percent": percent,
        "salt_g_l": percent * liquid * 10 if percent is not None else None,
    }
    return Answer(
        values,
        noted(
            (given["margin_g_cm3"] < MARGIN, "narrow", {"usual": MARGIN}),
            (given["bath"] == "alcohol" and not given["own_g_cm3"], "hydrometer", {}),
        ),
    )


DENSITY = Calculator(
    name="density",
    title=gettext_noop("Density by weighing"),
    question=gettext_noop("What density has this piece, and how well is that known?"),
    steps=("weighing",),
    inputs=(
        polymer_input(),
        Input("air_g", gettext_noop("Weighed in air"), "g", 10, 0.001, 100_000),
        Input(
            "liquid_g",
            gettext_noop("Weighed in the liquid, with its sinker if it has one"),
            "g",
            0.499,
            -100_000,
            100_000,
        ),
        Input(
            "sinker_g",
            gettext_noop("The sinker alone in the liquid"),
            "g",
            None,
            0,
            100_000,
            is_optional=True,
            help=gettext_noop("For a piece that floats."),
        ),
        Input(
            "liquid_g_cm3",
            gettext_noop("Density of the liquid"),
            "g/cm³",
            WATER_23_C,
            0.5,
            2,
            help=gettext_noop("Water: 0.9982 at 20, 0.9975 at 23, 0.9970 at 25 °C."),
        ),
        Input("resolution_g", gettext_noop("Step of the balance"), "g", 0.001, 0.000001, 100),
        Input(
            "density_low",
            gettext_noop("The polymer's density, least"),
            "g/cm³",
            least=0.005,
            most=3,
            filled_by="density:low",
            is_optional=True,
        ),
        Input(
            "density_high",
            gettext_noop("The polymer's density, most"),
            "g/cm³",
            least=0.005,
            most=3,
            filled_by="density:high",
            is_optional=True,
        ),
    ),
    outputs=(
        Output(
            "g_cm3",
            gettext_noop("Density"),
            "g/cm³",
            5,
            is_main=True,
            ends=("least_g_cm3", "most_g_cm3"),
            known_to="expanded_g_cm3",
        ),
        Output(
            "expanded_g_cm3",
            gettext_noop("Uncertainty ±, k = 2"),
            "g/cm³",
            2,
            is_main=True,
            rounds="up",
        ),
        Output("standard_g_cm3", gettext_noop("Standard uncertainty"), "g/cm³", 2, rounds="up"),
        Output(
            "least_g_cm3",
            gettext_noop("At least"),
            "g/cm³",
            5,
            rounds="down",
            known_to="expanded_g_cm3",
        ),
        Output(
            "most_g_cm3",
            gettext_noop("At most"),
            "g/cm³",
            5,
            rounds="up",
            known_to="expanded_g_cm3",
        ),
        Output("volume_cm3", gettext_noop("Volume of the piece"), "cm³", 4),
    ),
    answer=_answer_density,
    formula=(
        "ρ = m_air · ρ_L / (m_air − m_L)",
        "m_L = m_both − m_sinker",
        "u = d / (2 √3)",
        "U = 2 · u(ρ)",
    ),
    symbols=(
        ("ρ, ρ_L", gettext_noop("density of the piece and of the liquid"), "g/cm³"),
        ("m_air, m_L", gettext_noop("weighed in air and in the liquid"), "g"),
        ("m_both, m_sinker", gettext_noop("in the liquid: with a sinker, and that alone"), "g"),
        ("d", gettext_noop("step of the balance"), "g"),
        ("U", gettext_noop("expanded uncertainty, about 95 %"), "g/cm³"),
    ),
    sources=(
        Source(gettext_noop("ISO 1183-1, method A (formula)"), "memory"),
        Source(gettext_noop("With a sinker: laboratory page on ASTM D792")),
        Source(gettext_noop("Uncertainty: JCGM 100 (GUM)")),
        Source(gettext_noop("Water: IAPWS-95")),
    ),
    valid=gettext_noop(
        "Only the step of the balance is in the uncertainty: bubbles, a thread, a warm liquid and the lift of the"
        " air (below 0.001 g/cm³) are not. A drop of washing-up liquid takes bubbles off."
    ),
    notes={
        "no-buoyancy": gettext_noop(
            "In the liquid it weighs less than in air: check both readings."
        ),
        "coarse": gettext_noop("This balance is too coarse: it cannot tell PE from PP."),
        "fits": gettext_noop(
            "The density lies in the band of the polymer chosen; others may fit too."
        ),
        "differs": gettext_noop(
            "The density lies outside the band of the polymer chosen: another, filled, foamed or with a bubble."
        ),
    },
)

FLOAT_SINK = Calculator(
    name="float-sink",
    title=gettext_noop("Float or sink"),
    question=gettext_noop("Does this polymer float or sink in the bath?"),
    steps=("weighing",),
    inputs=(
        polymer_input(),
        Input(
            "bath",
            gettext_noop("Bath"),
            default="water",
            kind="choice",
            choices=(
                ("water", gettext_noop("water, 0.9975 g/cm³")),
                ("brine-11", gettext_noop("brine of 1.08 g/cm³")),
                ("brine-14", gettext_noop("brine of 1.10 g/cm³")),
                ("brine-full", gettext_noop("saturated brine, 1.197 g/cm³")),
                ("alcohol", gettext_noop("isopropanol half and half, about 0.91 g/cm³")),
            ),
        ),
        Input(
            "own_g_cm3",
            gettext_noop("Or by your hydrometer"),
            "g/cm³",
            None,
            0.7,
            2,
            is_optional=True,
        ),
        Input(
            "margin_g_cm3",
            gettext_noop("Margin"),
            "g/cm³",
            MARGIN,
            0.005,
            0.1,
            basis="judgement",
            help=gettext_noop("0.01 for painted or foamed scrap, at least 0.005."),
        ),
        Input(
            "density_low",
            gettext_noop("The polymer's density, least"),
            "g/cm³",
            least=0.005,
            most=3,
            filled_by="density:low",
        ),
        Input(
            "density_high",
            gettext_noop("The polymer's density, most"),
            "g/cm³",
            least=0.005,
            most=3,
            filled_by="density:high",
        ),
    ),
    outputs=(
        Output("fate", gettext_noop("The plain polymer"), is_main=True),
        Output("liquid_g_cm3", gettext_noop("Density of the bath"), "g/cm³", 4),
        Output("salt_percent", gettext_noop("As brine: salt by mass"), "%", 3),
        Output("salt_g_l", gettext_noop("As brine: salt in a litre of it"), "g/l", 3),
    ),
    answer=_answer_bath,
    formula=("ρ_most < ρ_L − margin", "ρ_least > ρ_L + margin"),
    symbols=(
        ("ρ_least, ρ_most", gettext_noop("band of the plain polymer"), "g/cm³"),
        ("ρ_L", gettext_noop("density of the bath"), "g/cm³"),
    ),
    sources=(
        Source(gettext_noop("Water: IAPWS-95; brine: NaCl table, Torun physics laboratory, 20 °C")),
        Source(gettext_noop("Isopropanol half and half by mass, about 0.91"), "memory"),
        Source(gettext_noop("Margins of 0.005 and 0.01"), "judgement"),
    ),
    valid=gettext_noop(
        "For the plain polymer: fillers, foam, paint and air move it by more. At 1.08 to 1.10 g/cm³ styrenics"
        " that sink are suspect of legacy flame retardants. PLA and PET are not told apart so."
    ),
    notes={
        "order": gettext_noop("The least density is not above the most."),
        "narrow": gettext_noop("A margin below %(usual)s is for clean unfilled scrap only."),
        "hydrometer": gettext_noop(
            "Half and half is 0.91 by mass and 0.92 by volume, more apart than PP and PE: use a hydrometer."
        ),
    },
    caution=BATH,
)
