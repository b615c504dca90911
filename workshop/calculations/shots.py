"""What a barrel holds in another polymer, and how much of it a shot uses."""

from collections.abc import Mapping
from dataclasses import dataclass

from products.calculations.calculators import (
    BARREL,
    FUMES,
    WINDOW,
    Answer,
    Calculator,
    Input,
    Note,
    Output,
    Source,
    above,
    fume_input,
    fume_notes,
    noted,
    polymer_input,
    window_inputs,
    window_notes,
)
from products.calculations.sentences import gettext_noop

GAS_CM3_ATM = 82.06
KELVIN = 273.15
USUAL_USE_PERCENT = (20, 65)
OUTER_USE_PERCENT = (20, 75)
WHOLE = 100
RATED_MELT_C = 220  # of PS, in which barrels are rated: within its window of 204 to 249 C


@dataclass(frozen=True)
class State:
    """Constants of Spencer and Gilmore: W in g/mol, p* in atm, b* in cm3/g."""

    molar_g: float
    cohesion_atm: float
    covolume_cm3_g: float


@dataclass(frozen=True)
class Capacity:
    """What a barrel holds of another polymer, in g: at least, and by each density that is known."""

    volume_cm3: float
    least_g: float
    by_solid_g: float
    by_melt_g: float | None
    by_usual_g: float | None
    use_percent: float
    notes: tuple[Note, ...] = ()


def melt_density_g_cm3(state: State, *, melt_c: float, pressure_atm: float = 0) -> float:
    """Return the density in g/cm3 of a melt by the equation of Spencer and Gilmore.

    (p + p*)(v - b*) = R T / W, R = 82.06 cm3 atm/(mol K); Rao and O'Brien, "Design Formulas for
    Plastics Engineers", chapter 2. Its PP runs high: usual figures are 0.74 to 0.75 g/cm3 at 230 C (from
    memory, International Plastics Handbook).

    >>> round(melt_density_g_cm3(State(28.1, 3240, 0.875), melt_c=190), 3)
    0.774
    """
    kelvin = melt_c + KELVIN
    volume = state.covolume_cm3_g + GAS_CM3_ATM * kelvin / state.molar_g / (
        pressure_atm + state.cohesion_atm
    )
    return 1 / volume


def shot_volume_cm3(*, shot_g: float, density_g_cm3: float) -> float:
    """Return the volume in cm3 of a shot at a density in g/cm3.

    Published example: 164 g of PP at 0.90 is 182.2 cm3 (trade magazine column of October 2011).

    >>> round(shot_volume_cm3(shot_g=164, density_g_cm3=0.90), 1)
    182.2
    """
    return shot_g / density_g_cm3


@dataclass(frozen=True)
class Densities:
    """Densities in g/cm3 of what a barrel is rated in and of what goes in; of melts where known."""

    rated_solid: float
    solid: float
    rated_melt: float | None = None
    melt: float | None = None
    usual_melt: float | None = None


def capacity(*, rated_g: float, densities: Densities, shot_g: float) -> Capacity:
    """Return what a barrel rated in one polymer holds of another, and the share that a shot takes.

    m_X = m_rated rho_X / rho_rated, by solid densities as the trade does, and by melt densities as
    is right: a semi-crystalline melt is much less dense than its solid. Beside the equation's melt
    density stands a usual one where it is known. The use is of the least capacity found.
    Bands of 20 to 65 % and 25 to 75 % are from trade columns. Noted are a use below or above
    them and a shot that does not fit.

    >>> found = capacity(rated_g=226.8, densities=Densities(1.05, 0.905), shot_g=60)
    >>> round(found.by_solid_g, 1), round(found.volume_cm3, 1)
    (195.5, 216.0)
    """
    by_solid_g = rated_g * densities.solid / densities.rated_solid
    by_melt_g, by_usual_g = (
        rated_g * melt / densities.rated_melt if melt and densities.rated_melt else None
        for melt in (densities.melt, densities.usual_melt)
    )
    return used(rated_g / densities.rated_solid, (by_solid_g, by_melt_g, by_usual_g), shot_g)


def capacity_of_volume(*, volume_cm3: float, densities: Densities, shot_g: float) -> Capacity:
    """Return what the shot volume of a machine holds: m = V rho, by the melt as is right, by the solid as said.

    Only the densities of what goes in count. The bands are those of `capacity`.

    >>> found = capacity_of_volume(volume_cm3=250, densities=Densities(1, 0.9, usual_melt=0.74), shot_g=60)
    >>> round(found.by_solid_g, 1), round(found.by_usual_g, 1), round(found.use_percent, 1)
    (225.0, 185.0, 32.4)
    """
    melts = (densities.melt, densities.usual_melt)
    masses = [each * volume_cm3 if each else None for each in (densities.solid, *melts)]
    return used(volume_cm3, tuple(masses), shot_g)


def used(volume_cm3: float, masses_g: tuple, shot_g: float) -> Capacity:
    """Return a capacity by solid, melt and usual melt density, with what a shot uses of the least known."""
    by_solid_g, by_melt_g, by_usual_g = masses_g
    known = [each for each in (by_melt_g, by_usual_g) if each]
    least_g = min(known or [by_solid_g])
    use_percent = WHOLE * shot_g / least_g
    (low, high), most = USUAL_USE_PERCENT, OUTER_USE_PERCENT[1]
    is_above_all = above(use_percent, most) and not above(use_percent, WHOLE)
    return Capacity(
        volume_cm3,
        least_g,
        by_solid_g,
        by_melt_g,
        by_usual_g,
        use_percent,
        noted(
            (not known, "no-melt-density", {}),
            (above(use_percent, WHOLE), "too-much", {}),
            (is_above_all, "above-all", {"most": most}),
            (above(use_percent, high) and not above(use_percent, most), "above", {"high": high}),
            (above(low, use_percent), "below", {"low": low}),
        ),
    )


def _state(given: Mapping, prefix: str) -> State | None:
    values = [given[f"{prefix}{name}"] for name in ("molar_g", "cohesion_atm", "covolume_cm3_g")]
    return None if None in values else State(*values)


def _melt_density(given: Mapping, prefix: str) -> float | None:
    state = _state(given, prefix)
    return melt_density_g_cm3(state, melt_c=given[f"{prefix}melt_c"]) if state else None


def _answer_capacity(given: Mapping) -> Answer:
    melts = [_melt_density(given, prefix) for prefix in ("rated_", "")]
    densities = Densities(
        given["rated_density_g_cm3"], given["density_g_cm3"], *melts, given["usual_melt_g_cm3"]
    )
    if given["machine_cm3"]:
        volume = {"volume_cm3": given["machine_cm3"]}
        found = capacity_of_volume(**volume, densities=densities, shot_g=given["shot_g"])
    else:
        found = capacity(rated_g=given["rated_g"], densities=densities, shot_g=given["shot_g"])
    volumes = {
        "shot_cm3": shot_volume_cm3(shot_g=given["shot_g"], density_g_cm3=given["density_g_cm3"]),
        "rated_melt_g_cm3": melts[0],
        "melt_g_cm3": melts[1],
    }
    notes = window_notes(given, given["melt_c"]) + fume_notes(given, given["melt_c"])
    return Answer(vars(found) | volumes, found.notes + notes)


def _constants(prefix: str, polymer: str, whose: str) -> tuple[Input, ...]:
    """Return the boxes of a solid density and of the constants of a melt."""
    fill = {"polymer": polymer, "is_optional": True}
    return (
        Input(
            f"{prefix}density_g_cm3",
            whose or gettext_noop("Solid density"),
            "g/cm³",
            least=0.005,
            most=3,
            filled_by="density",
            polymer=polymer,
        ),
        Input(
            f"{prefix}molar_g",
            gettext_noop("W of Spencer and Gilmore, rated") if whose else gettext_noop("W"),
            "g/mol",
            least=1,
            most=1000,
            filled_by="spencer-gilmore:low",
            **fill,
        ),
        Input(
            f"{prefix}cohesion_atm",
            gettext_noop("p*, rated") if whose else gettext_noop("p*"),
            "atm",
            least=100,
            most=20_000,
            filled_by="spencer-gilmore",
            **fill,
        ),
        Input(
            f"{prefix}covolume_cm3_g",
            gettext_noop("b*, rated") if whose else gettext_noop("b*"),
            "cm³/g",
            least=0.1,
            most=2,
            filled_by="spencer-gilmore:high",
            **fill,
        ),
    )


SHOT_CAPACITY = Calculator(
    name="shot-capacity",
    title=gettext_noop("Shot and barrel"),
    question=gettext_noop("Does the shot fit a barrel that is rated in another polymer?"),
    steps=("injecting",),
    inputs=(
        polymer_input("rated_polymer", "PS", gettext_noop("Barrel rated in")),
        Input("rated_g", gettext_noop("Rated shot"), "g", 226.8, 0.1, 100_000),
        Input(
            "rated_melt_c",
            gettext_noop("Melt temperature of the rating"),
            "°C",
            RATED_MELT_C,
            100,
            400,
        ),
        Input(
            "machine_cm3",
            gettext_noop("Shot volume of the machine"),
            "cm³",
            least=0.1,
            most=100_000,
            is_optional=True,
            help=gettext_noop("Where it is known it counts in place of the rating."),
        ),
        polymer_input(default="PP"),
        Input("shot_g", gettext_noop("Shot, sprue and runner included"), "g", 80, 0.01, 100_000),
        Input("melt_c", gettext_noop("Melt temperature"), "°C", 230, 100, 400),
        *_constants("rated_", "rated_polymer", gettext_noop("Solid density, rated")),
        *_constants("", "polymer", ""),
        Input(
            "usual_melt_g_cm3",
            gettext_noop("Usual melt density"),
            "g/cm³",
            least=0.005,
            most=3,
            filled_by="melt-density",
            is_optional=True,
        ),
        *window_inputs("inject-melt"),
        fume_input(),
    ),
    outputs=(
        Output("use_percent", gettext_noop("The shot uses"), "%", 3, is_main=True, rounds="up"),
        Output("least_g", gettext_noop("It holds, at least"), "g", 3, is_main=True, rounds="down"),
        Output("by_solid_g", gettext_noop("Holds, by solid density"), "g", 3, rounds="down"),
        Output(
            "by_melt_g", gettext_noop("Holds, by melt density (equation)"), "g", 3, rounds="down"
        ),
        Output("by_usual_g", gettext_noop("Holds, by usual melt density"), "g", 3, rounds="down"),
        Output("volume_cm3", gettext_noop("Volume of a full shot"), "cm³", 4),
        Output("shot_cm3", gettext_noop("Volume of the shot, solid"), "cm³", 4),
        Output("rated_melt_g_cm3", gettext_noop("Melt density of the rating"), "g/cm³", 3),
        Output("melt_g_cm3", gettext_noop("Melt density"), "g/cm³", 3),
    ),
    answer=_answer_capacity,
    formula=(
        "V = m / ρ",
        "m_X = m_rated · ρ_X / ρ_rated",
        "m_X = V_machine · ρ_X",
        "(p + p*) · (1/ρ_melt − b*) = R · T / W",
        "u = m_shot / m_X",
    ),
    symbols=(
        ("m_rated, m_X", gettext_noop("rated shot, and the same in polymer X"), "g"),
        ("ρ", gettext_noop("density, of the solid or of the melt"), "g/cm³"),
        ("p*, b*, W", gettext_noop("constants of the melt"), "atm, cm³/g, g/mol"),
        ("T", gettext_noop("melt temperature, absolute"), "K"),
        ("u", gettext_noop("use of the barrel"), "%"),
    ),
    sources=(
        Source(
            gettext_noop(
                "Melt density: Rao and O'Brien, Design Formulas for Plastics Engineers, chapter 2"
            )
        ),
        Source(gettext_noop("Use of 20 to 65 %, and of 25 to 75 %: two trade magazine columns")),
        Source(gettext_noop("Ratings in PS: text on residence time")),
        Source(gettext_noop("Solid densities as the trade takes them"), "common"),
    ),
    valid=gettext_noop(
        "Melt densities at no pressure. By solid density the capacity for PE and PP comes out too high. The use"
        " goes by the least that the melt densities give."
    ),
    notes=FUMES
    | WINDOW
    | {
        "no-melt-density": gettext_noop(
            "The melts' densities are not known here: the use goes by solid density, too high for PE and PP."
        ),
        "too-much": gettext_noop("The shot does not fit this barrel."),
        "above-all": gettext_noop(
            "More than %(most)s %% of the barrel: the melt may be uneven. Take a larger barrel."
        ),
        "above": gettext_noop(
            "More than %(high)s %%: one trade column ends there, another at 75 %%."
        ),
        "below": gettext_noop(
            "Less than %(low)s %%: the melt stays long in the barrel. Look at the residence time."
        ),
    },
    caution=BARREL,
)
