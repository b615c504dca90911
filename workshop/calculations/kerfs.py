"""What the saw and the router turn into dust."""

from collections.abc import Mapping
from dataclasses import dataclass

from products.calculations.calculators import (
    BLADE,
    Answer,
    Calculator,
    Input,
    Note,
    Output,
    Source,
    above,
    density_input,
    noted,
    polymer_input,
)
from products.calculations.sentences import gettext_noop

MM_PER_M, MM3_PER_CM3, G_PER_KG = 1000, 1000, 1000
MUCH_PERCENT, WHOLE = 10, 100


@dataclass(frozen=True)
class Dust:
    """Dust of some cuts in g and per metre, and as a share of the sheet where that is known."""

    dust_g: float
    g_m: float
    share_percent: float | None = None
    notes: tuple[Note, ...] = ()


def kerf_dust(
    *,
    cut_m: float,
    kerf_mm: float,
    depth_mm: float,
    density_g_cm3: float,
    sheet_kg: float | None = None,
) -> Dust:
    """Return what a saw, or a router over its full width, makes into dust: m = rho L w t.

    2.4 m of a 3.2 mm kerf through 10 mm of PE-HD: 73.3 g. A share of the sheet above 10 % is noted,
    and so is more dust than sheet.

    >>> round(kerf_dust(cut_m=2.4, kerf_mm=3.2, depth_mm=10, density_g_cm3=0.955).dust_g, 1)
    73.3
    """
    g_m = MM_PER_M * kerf_mm * depth_mm / MM3_PER_CM3 * density_g_cm3
    dust_g = g_m * cut_m
    share = 100 * dust_g / G_PER_KG / sheet_kg if sheet_kg else None
    is_much, is_more = (share is not None and above(share, most) for most in (MUCH_PERCENT, WHOLE))
    return Dust(
        dust_g,
        g_m,
        share,
        noted(
            (is_much and not is_more, "much", {"share": MUCH_PERCENT}),
            (is_more, "more-than-sheet", {}),
        ),
    )


def _answer(given: Mapping) -> Answer:
    asked = ("cut_m", "kerf_mm", "depth_mm", "density_g_cm3", "sheet_kg")
    found = kerf_dust(**{name: given[name] for name in asked})
    pieces = {"lost_mm": given["kerf_mm"] * given["cuts"]}
    return Answer(vars(found) | pieces, found.notes)


KERF = Calculator(
    name="kerf",
    title=gettext_noop("Kerf and routing dust"),
    question=gettext_noop("How much of the sheet becomes dust?"),
    steps=("cutting",),
    inputs=(
        polymer_input(),
        Input("cut_m", gettext_noop("Length of all cuts"), "m", 2.4, 0.001, 10_000),
        Input(
            "kerf_mm",
            gettext_noop("Width of the kerf, or diameter of the cutter"),
            "mm",
            3.2,
            0.01,
            100,
        ),
        Input("depth_mm", gettext_noop("Thickness, or depth of the groove"), "mm", 10, 0.05, 300),
        Input(
            "cuts",
            gettext_noop("Cuts across one edge"),
            gettext_noop("cuts"),
            2,
            0,
            1000,
            kind="whole",
        ),
        Input(
            "sheet_kg", gettext_noop("The sheet weighs"), "kg", None, 0.001, 1000, is_optional=True
        ),
        density_input(),
    ),
    outputs=(
        Output("dust_g", gettext_noop("Dust"), "g", 3, is_main=True),
        Output("share_percent", gettext_noop("Of the sheet"), "%", 3),
        Output("g_m", gettext_noop("For each metre of cut"), "g/m", 3),
        Output("lost_mm", gettext_noop("The cuts take from that edge"), "mm", 3),
    ),
    answer=_answer,
    formula=("m = ρ · L · w · t",),
    symbols=(
        ("L", gettext_noop("length of the cuts"), "m"),
        ("w", gettext_noop("width of the kerf or diameter of the cutter"), "mm"),
        ("t", gettext_noop("thickness or depth"), "mm"),
        ("ρ", gettext_noop("density of the solid plastic"), "g/cm³"),
    ),
    sources=(Source(gettext_noop("Density times volume"), "exact"),),
    valid=gettext_noop(
        "A router that runs with less than its full width makes less. Dust is waste unless it is proven"
        " clean; sheet = product + offcuts + dust."
    ),
    notes={
        "much": gettext_noop(
            "More than %(share)s %% of the sheet: nest closer, or take a thinner blade."
        ),
        "more-than-sheet": gettext_noop(
            "That is more dust than the sheet weighs: check the figures."
        ),
    },
    caution=BLADE,
)
