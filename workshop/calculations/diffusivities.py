"""What a measured cycle says of a polymer's thermal diffusivity, beside the band of the reference."""

from collections.abc import Mapping

from products.calculations.calculators import (
    HOT_PART,
    Answer,
    Calculator,
    Impossible,
    Input,
    Output,
    noted,
    polymer_input,
)
from products.calculations.sentences import gettext_noop
from workshop.calculations.conduction import PLATE, series
from workshop.calculations.cooling import (
    CONDUCTION_NOTES,
    CONDUCTION_SOURCES,
    DIFFUSIVITIES,
    DIFFUSIVITY,
    DIFFUSIVITY_UNIT,
    MM2_PER_M2,
    TO_M2_S,
    share_left,
)


def effective_diffusivity(
    *, seconds: float, thickness_mm: float, theta: float, average: bool = False
) -> float:
    """Return the diffusivity in 1e-7 m2/s with which a plate has the share theta left after a time.

    The inverse of the cooling time: alpha = Fo(theta) s2 / t by the whole series. It is an effective one:
    latent heat, the gap of shrinkage and a face that warms are in it. Raises Impossible `hardly-begun`
    when theta is too near to one.

    >>> round(effective_diffusivity(seconds=14.377, thickness_mm=3, theta=50 / 190), 3)
    1.0
    """
    fo = series(PLATE, average=average).fo(theta)
    if fo is None:
        raise Impossible("hardly-begun", "end_c")
    return fo * thickness_mm**2 / MM2_PER_M2 / seconds / TO_M2_S


def _answer(given: Mapping) -> Answer:
    theta = share_left(start_c=given["start_c"], face_c=given["face_c"], end_c=given["end_c"])
    plate = {"seconds": given["seconds"], "thickness_mm": given["thickness_mm"], "theta": theta}
    by_centre = effective_diffusivity(**plate)
    by_average = effective_diffusivity(**plate, average=True)
    low, high = given["slow"], given["fast"]
    facts = {"found": by_centre, "low": low, "high": high}
    known = low is not None and high is not None
    notes = noted(
        (known and not low <= by_centre <= high, "outside", facts),
        (known and low <= by_centre <= high, "inside", facts),
    )
    return Answer({"by_centre": by_centre, "by_average": by_average}, notes)


JOINED_UNIT = DIFFUSIVITY_UNIT.replace(" ", "\u00a0")

CALIBRATION = Calculator(
    name="calibration",
    title=gettext_noop("Diffusivity from a measured cycle"),
    question=gettext_noop("What diffusivity does a cooling time say that you measured?"),
    steps=("pressing", "injecting"),
    inputs=(
        polymer_input(),
        Input("seconds", gettext_noop("Cooling time that was measured"), "s", 120, 0.5, 36000),
        Input("thickness_mm", gettext_noop("Thickness of the piece"), "mm", 10, 0.2, 300),
        Input("start_c", gettext_noop("Melt at the start"), "°C", 190, 20, 400),
        Input("face_c", gettext_noop("Face: mould, platen or water"), "°C", 30, -20, 400),
        Input(
            "end_c",
            gettext_noop("Measured inside at the end"),
            "°C",
            80,
            -20,
            400,
            help=gettext_noop("With a probe in the middle of a piece that is given up for it."),
        ),
        *DIFFUSIVITIES[1:],
    ),
    outputs=(
        Output(
            "by_centre",
            gettext_noop("Effective diffusivity, read at the centre"),
            JOINED_UNIT,
            is_main=True,
        ),
        Output(
            "by_average",
            gettext_noop("The same, if the end temperature is the average of the piece"),
            JOINED_UNIT,
        ),
    ),
    answer=_answer,
    formula=("α = Fo(θ) · s² / t", "θ = (T_e − T_w) / (T_m − T_w)"),
    symbols=(
        ("t", gettext_noop("time"), "s"),
        ("s", gettext_noop("thickness of a plate"), "mm"),
        ("α", DIFFUSIVITY, DIFFUSIVITY_UNIT),
        ("T_m, T_w, T_e", gettext_noop("melt at the start, face, end"), "°C"),
    ),
    sources=CONDUCTION_SOURCES,
    valid=gettext_noop(
        "For a flat piece cooled on both faces, which stay at one temperature. What it says holds for this"
        " mould and this polymer: latent heat and gaps are in it. It replaces nothing by itself; the lead"
        " may put it onto the sheet of the polymer as the workshop's own value."
    ),
    notes=CONDUCTION_NOTES
    | {
        "outside": gettext_noop(
            "%(found)s lies outside the band of the polymer, %(low)s to %(high)s: measure once more before"
            " you go by it."
        ),
        "inside": gettext_noop(
            "%(found)s lies within the band of the polymer, %(low)s to %(high)s."
        ),
    },
    caution=HOT_PART,
)
