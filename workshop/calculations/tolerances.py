"""How large a gap of a mass balance the scales alone may make."""

from collections.abc import Mapping
from math import sqrt

from inventory.calculations.weighing import (
    expanded,
    net_uncertainty,
    resolution_uncertainty,
    sum_uncertainty,
)
from products.calculations.calculators import (
    Answer,
    Calculator,
    Input,
    Output,
    Source,
    above,
    noted,
)
from products.calculations.sentences import gettext_noop

G_PER_KG = 1000
WHOLE = 100
GAP_DIGITS = 6  # of a gram: beyond them is what floats are off by


def balance_uncertainty_g(*, step_g: float, nets: int, singles: int, limit_g: float = 0) -> float:
    """Return the standard uncertainty in g of a balance of net weighings and single readings.

    u of a reading is d / (2 sqrt 3), of a net mass sqrt 2 of that, of n of them sqrt n more (JCGM 100).
    A limit of error a of the scale adds a / sqrt 3 for each weighing, and linearly: an error of one scale is
    the same in each of its weighings.

    >>> round(balance_uncertainty_g(step_g=10, nets=5, singles=0), 2)
    9.13
    """
    noise = [net_uncertainty(step_g)] * nets + [resolution_uncertainty(step_g)] * singles
    shared = (nets + singles) * limit_g / sqrt(3)
    return sum_uncertainty([*noise, shared])


def _answer(given: Mapping) -> Answer:
    standard = balance_uncertainty_g(
        step_g=given["step_g"],
        nets=int(given["nets"]),
        singles=int(given["singles"]),
        limit_g=given["limit_g"],
    )
    tolerance = expanded(standard)
    gap_g = round((given["in_kg"] - given["out_kg"]) * G_PER_KG, GAP_DIGITS)
    nothing = given["nets"] + given["singles"] == 0
    times = abs(gap_g) / tolerance if tolerance else None
    values = {
        "tolerance_g": tolerance,
        "standard_g": standard,
        "gap_g": gap_g,
        "times": times,
        "gap_percent": WHOLE * gap_g / G_PER_KG / given["in_kg"],
    }
    within = not above(abs(gap_g), tolerance)
    return Answer(
        values,
        noted(
            (within and not nothing, "closes", {}),
            (not within and gap_g > 0 and not nothing, "loss", {}),
            (not within and gap_g < 0 and not nothing, "surplus", {}),
            (nothing, "nothing-weighed", {}),
        ),
    )


TOLERANCE = Calculator(
    name="tolerance",
    title=gettext_noop("Tolerance of a balance"),
    question=gettext_noop("Is this gap a loss, or only what the scale cannot show?"),
    steps=("weighing",),
    inputs=(
        Input("in_kg", gettext_noop("Went in"), "kg", 25.0, 0.001, 100_000),
        Input("out_kg", gettext_noop("Came out, all together"), "kg", 24.75, 0, 100_000),
        Input("step_g", gettext_noop("Step of the scale"), "g", 10, 0.0001, 10_000),
        Input(
            "nets",
            gettext_noop("Net weighings, gross less tare"),
            gettext_noop("weighings"),
            5,
            0,
            1000,
            kind="whole",
        ),
        Input(
            "singles",
            gettext_noop("Single readings"),
            gettext_noop("readings"),
            0,
            0,
            1000,
            kind="whole",
        ),
        Input(
            "limit_g",
            gettext_noop("Limit of error of the scale ±"),
            "g",
            0,
            0,
            10_000,
            help=gettext_noop("Of its certificate; 0 leaves it out, as a run's closing does."),
        ),
    ),
    outputs=(
        Output("gap_g", gettext_noop("Gap"), "g", 3, is_main=True),
        Output(
            "tolerance_g",
            gettext_noop("Explained by weighing ±"),
            "g",
            3,
            is_main=True,
            rounds="up",
        ),
        Output("times", gettext_noop("The gap is so many times that"), gettext_noop("times"), 3),
        Output("gap_percent", gettext_noop("Of what went in"), "%", 3),
        Output("standard_g", gettext_noop("Standard uncertainty"), "g", 3, rounds="up"),
    ),
    answer=_answer,
    formula=("u = d / (2 √3)", "u_net = √2 · u", "U = 2 · √(Σ u² + (n a / √3)²)"),
    symbols=(
        ("d", gettext_noop("step of the scale"), "g"),
        ("a", gettext_noop("its limit of error"), "g"),
        ("n", gettext_noop("weighings"), ""),
        ("U", gettext_noop("expanded uncertainty, about 95 %"), "g"),
    ),
    sources=(Source(gettext_noop("JCGM 100 (GUM), rectangular distributions, k = 2")),),
    valid=gettext_noop(
        "Steps of the scale count as independent, its limit of error as the same in every weighing on it. Wet or"
        " dusty material loses more than any scale."
    ),
    notes={
        "closes": gettext_noop("The scales alone explain this gap."),
        "loss": gettext_noop("More is missing than the scales explain: find it, or name the loss."),
        "surplus": gettext_noop(
            "More came out than the scales explain: something was not weighed in."
        ),
        "nothing-weighed": gettext_noop("Without weighings nothing is explained."),
    },
)
