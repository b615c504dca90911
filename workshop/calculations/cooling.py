"""How long a plate, a bar or a tube cools, as a band over what the polymer may conduct."""

from collections.abc import Mapping
from dataclasses import dataclass

from products.calculations.calculators import (
    HOT_PART,
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
from workshop.calculations.conduction import BAR, PLATE, Series, series

TO_M2_S = 1e-7
MM2_PER_M2 = 1e6
SHORT_MAY_BE_OFF = 0.01
LONG_S = 600


@dataclass(frozen=True)
class Band:
    """A figure with its ends: the usual one, the least and the most."""

    usual: float
    least: float
    most: float


@dataclass(frozen=True)
class Body:
    """What conducts: a plate by its full thickness or a bar by its radius, in mm."""

    shape: str
    size_mm: float

    def seconds(self, fo: float, diffusivity: float) -> float:
        """Return the time of a Fourier number at a diffusivity in 1e-7 m2/s.

        >>> round(Body("plate", 3).seconds(0.1, 1.0), 6)
        9.0
        """
        return fo * self.size_mm**2 / MM2_PER_M2 / (diffusivity * TO_M2_S)


@dataclass(frozen=True)
class Cooling:
    """Times in s until the centre, and the average, have the temperature asked."""

    centre: Band
    average: Band
    short_centre_s: float
    notes: tuple[Note, ...] = ()


def body_of(shape: str, size_mm: float) -> Body:
    """Return the body of a shape's own measure: thickness, diameter or wall.

    A tube that is cooled outside only is taken as a plate of twice its wall: curvature is left out, which
    errs to the slow side. One cooled on both sides is a plate of its wall.

    >>> body_of("tube-outside", 4).size_mm, body_of("bar", 40).size_mm
    (8, 20.0)
    """
    if shape == BAR:
        return Body(BAR, size_mm / 2)
    return Body(PLATE, size_mm * 2 if shape == "tube-outside" else size_mm)


def band(body: Body, found: Series, theta: float, diffusivity: Band) -> Band:
    """Return the time in s at which the share theta is left, over a band of diffusivities.

    Raises Impossible `hardly-begun` when theta is too near to one.
    """
    fo = found.fo(theta)
    if fo is None:
        raise Impossible("hardly-begun", "end_c")
    usual, fast, slow = (
        body.seconds(fo, a) for a in (diffusivity.usual, diffusivity.most, diffusivity.least)
    )
    return Band(usual, fast, slow)


def share_left(*, start_c: float, face_c: float, end_c: float) -> float:
    """Return what is left of the step from start to face at the end temperature, 0 to 1.

    Raises Impossible `no-step` when start and face are equal, `not-between` when the end is not
    strictly between them.

    >>> round(share_left(start_c=220, face_c=30, end_c=80), 4)
    0.2632
    """
    if start_c == face_c:
        raise Impossible("no-step", "face_c")
    theta = (end_c - face_c) / (start_c - face_c)
    if not 0 < theta < 1:
        raise Impossible("not-between", "end_c")
    return theta


def in_order(diffusivity: Band) -> Band:
    """Return the band; raises Impossible `band-order` when its ends are not in order."""
    if not diffusivity.least <= diffusivity.usual <= diffusivity.most:
        raise Impossible("band-order", "diffusivity")
    return diffusivity


def cooling(body: Body, *, theta: float, diffusivity: Band) -> Cooling:
    """Return how long a body cools until the share theta of its heat step is left.

    t = s2 Fo(theta) / alpha by the whole series; the short form for the centre of a plate is
    t = s2/(pi2 alpha) ln(4/pi (Tm - Tw)/(Te - Tw)). Diffusivities in 1e-7 m2/s. Noted are a short form off
    by more than 1 %, and more than ten minutes.

    >>> found = cooling(Body("plate", 3), theta=50 / 190, diffusivity=Band(1.0, 0.9, 2.0))
    >>> round(found.centre.usual, 2), round(found.average.usual, 2), round(found.centre.most, 2)
    (14.38, 10.26, 15.97)
    """
    diffusivity = in_order(diffusivity)
    middle = series(body.shape, average=False)
    centre = band(body, middle, theta, diffusivity)
    average = band(body, series(body.shape, average=True), theta, diffusivity)
    short_s = body.seconds(middle.short_fo(theta), diffusivity.usual)
    off = abs(short_s - centre.usual) > SHORT_MAY_BE_OFF * centre.usual
    return Cooling(
        centre,
        average,
        short_s,
        noted((off, "short-off", {"short": short_s}), (centre.most > LONG_S, "long", {})),
    )


def _answer(given: Mapping) -> Answer:
    theta = share_left(start_c=given["start_c"], face_c=given["face_c"], end_c=given["end_c"])
    diffusivity = Band(*(given[name] for name in ("diffusivity", "slow", "fast")))
    found = cooling(body_of(given["shape"], given["size_mm"]), theta=theta, diffusivity=diffusivity)
    hotter = noted((given["end_c"] > given["start_c"], "heats", {}))
    values = {f"centre_{end}_s": getattr(found.centre, end) for end in vars(found.centre)}
    values |= {f"average_{end}_s": getattr(found.average, end) for end in vars(found.average)}
    values |= {"short_s": found.short_centre_s, "doubled_s": 4 * found.centre.usual}
    return Answer(values, found.notes + hotter)


DIFFUSIVITY = gettext_noop("Thermal diffusivity")
DIFFUSIVITY_UNIT = "× 10⁻⁷ m²/s"
DIFFUSIVITIES = (
    Input(
        "diffusivity",
        DIFFUSIVITY,
        DIFFUSIVITY_UNIT,
        least=0.1,
        most=20,
        filled_by="thermal-diffusivity",
    ),
    Input(
        "slow",
        gettext_noop("Diffusivity, least"),
        DIFFUSIVITY_UNIT,
        least=0.1,
        most=20,
        filled_by="thermal-diffusivity:low",
    ),
    Input(
        "fast",
        gettext_noop("Diffusivity, most"),
        DIFFUSIVITY_UNIT,
        least=0.1,
        most=20,
        filled_by="thermal-diffusivity:high",
    ),
)
CONDUCTION_NOTES = {
    "no-step": gettext_noop("Face and start have one temperature: no heat flows."),
    "not-between": gettext_noop("The end temperature lies between that of the start and the face."),
    "hardly-begun": gettext_noop(
        "The end temperature is so near to the start that no time can be named."
    ),
    "band-order": gettext_noop("The diffusivity lies between its least and its most."),
}
CONDUCTION_SOURCES = (
    Source(
        gettext_noop(
            "One-dimensional conduction, whole series; Carslaw and Jaeger, Conduction of Heat in Solids"
        ),
        "exact",
    ),
    Source(
        gettext_noop(
            "Diffusivities and their bands, rounded to the slow side from tables that differ by a factor of two"
        ),
        "judgement",
    ),
)

COOLING = Calculator(
    name="cooling",
    title=gettext_noop("Cooling time"),
    question=gettext_noop("How long does a plate, a bar or a tube cool until it can be taken out?"),
    steps=("pressing", "injecting", "extruding"),
    inputs=(
        polymer_input(),
        Input(
            "shape",
            gettext_noop("Shape"),
            default="plate",
            kind="choice",
            choices=(
                ("plate", gettext_noop("plate, cooled on both faces")),
                ("bar", gettext_noop("round bar")),
                ("tube-outside", gettext_noop("tube, cooled outside only")),
                ("tube-both", gettext_noop("tube, cooled inside and outside")),
            ),
        ),
        Input(
            "size_mm",
            gettext_noop("Thickness, diameter of a bar, wall of a tube"),
            "mm",
            3,
            0.2,
            300,
        ),
        Input("start_c", gettext_noop("Melt at the start"), "°C", 220, 20, 400),
        Input("face_c", gettext_noop("Face: mould, platen or water"), "°C", 30, -20, 400),
        Input("end_c", gettext_noop("May be taken out at"), "°C", 80, -20, 400),
        *DIFFUSIVITIES,
    ),
    outputs=(
        Output(
            "centre_usual_s",
            gettext_noop("Until the centre is there"),
            "s",
            is_main=True,
            ends=("centre_least_s", "centre_most_s"),
            rounds="up",
        ),
        Output(
            "average_usual_s",
            gettext_noop("Until the average is there"),
            "s",
            is_main=True,
            ends=("average_least_s", "average_most_s"),
            rounds="up",
        ),
        Output("centre_least_s", gettext_noop("Centre, at the fastest"), "s", 2, rounds="down"),
        Output("centre_most_s", gettext_noop("Centre, at the slowest"), "s", 2, rounds="up"),
        Output("average_least_s", gettext_noop("Average, at the fastest"), "s", 2, rounds="down"),
        Output("average_most_s", gettext_noop("Average, at the slowest"), "s", 2, rounds="up"),
        Output("short_s", gettext_noop("Centre, by the usual short formula"), "s", 3),
        Output("doubled_s", gettext_noop("Centre, were it twice as thick"), "s", 3, rounds="up"),
    ),
    answer=_answer,
    formula=(
        "θ = (T_e − T_w) / (T_m − T_w)",
        "θ = 4/π · Σ (−1)ᵏ/(2k+1) · exp(−(2k+1)² π² α t / s²)",
        "t ≈ s² / (π² α) · ln(4/π · 1/θ)",
        "t ≈ R² / (5.7832 α) · ln(1.6020 / θ)",
    ),
    symbols=(
        ("t", gettext_noop("time"), "s"),
        ("s, R", gettext_noop("thickness of a plate; radius of a bar"), "mm"),
        ("α", DIFFUSIVITY, DIFFUSIVITY_UNIT),
        ("T_m, T_w, T_e", gettext_noop("melt at the start, face, end"), "°C"),
    ),
    sources=CONDUCTION_SOURCES,
    valid=gettext_noop(
        "For faces that stay at one temperature and touch all the time. Latent heat is in the diffusivity"
        " only; a gap of shrinkage makes it slower. Let a measured cycle put the diffusivity right."
    ),
    notes=CONDUCTION_NOTES
    | {
        "short-off": gettext_noop(
            "The short formula would say %(short)s s: it fails so early, and the whole series is taken."
        ),
        "long": gettext_noop(
            "More than ten minutes: thick parts cool slowly, for twice the thickness takes four times as long."
        ),
        "heats": gettext_noop("The face is hotter than the start: this is a time of heating."),
    },
    caution=HOT_PART,
)
