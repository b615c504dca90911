"""The force that keeps a mould shut or presses a sheet."""

from collections.abc import Mapping
from dataclasses import dataclass
from math import isclose, pi, sqrt

from products.calculations.calculators import (
    PRESS,
    Answer,
    Calculator,
    Input,
    Note,
    Output,
    Source,
    above,
    noted,
)
from products.calculations.sentences import gettext_noop

N_PER_TONNE_FORCE = 9806.65
BAR_PER_MPA = 10
PRESSES_MPA = (0.5, 10)
MOULDS_MPA = (27, 110)


@dataclass(frozen=True)
class Force:
    """A force in kN and in tonnes-force."""

    force_kn: float
    tonnes: float
    spare_percent: float | None = None
    notes: tuple[Note, ...] = ()


@dataclass(frozen=True)
class Press:
    """What a press can give in kN, where it is known, and whether it shuts a mould or presses a sheet."""

    most_kn: float | None = None
    shuts_mould: bool = True


def force(*, area_cm2: float, pressure_mpa: float, cavities: float = 1, press: Press) -> Force:
    """Return the force that a pressure over a projected area asks for.

    F = p A n; kN = cm2 x bar / 100. Published bands: 2 to 8 US tons per square inch for moulds
    (27 to 110 MPa; a compounder's guidelines and a text on clamp tonnage); a press for test
    plaques gives up to 10 MPa (note on ASTM D4703); sheets take 0.5 MPa and more (this project's
    judgement). Outside is noted, and so is a press that is too weak.

    >>> found = force(area_cm2=232.258, pressure_mpa=68.948, press=Press())
    >>> round(found.force_kn, 1), round(found.tonnes, 1)
    (1601.4, 163.3)
    """
    force_kn = area_cm2 * pressure_mpa * cavities / BAR_PER_MPA
    low, high = MOULDS_MPA if press.shuts_mould else PRESSES_MPA
    spare = 100 * (press.most_kn / force_kn - 1) if press.most_kn else None
    spare = 0.0 if spare is not None and isclose(press.most_kn, force_kn) else spare
    return Force(
        force_kn,
        force_kn * 1000 / N_PER_TONNE_FORCE,
        spare,
        noted(
            (not low <= pressure_mpa <= high, "unusual", {"low": low, "high": high}),
            (
                bool(press.most_kn) and above(force_kn, press.most_kn),
                "too-weak",
                {"most": press.most_kn or 0, "force": force_kn},
            ),
        ),
    )


def _answer(given: Mapping) -> Answer:
    press = Press(given["most_kn"], given["work"] == "mould")
    asked = {name: given[name] for name in ("area_cm2", "pressure_mpa", "cavities")}
    found = force(**asked, press=press)
    area_mm2 = pi * given["ram_mm"] ** 2 / 4 if given["ram_mm"] else None
    bar = found.force_kn * 1000 / area_mm2 * BAR_PER_MPA if area_mm2 else None
    side_mm = 10 * sqrt(given["area_cm2"])
    return Answer(vars(found) | {"oil_bar": bar, "side_mm": side_mm}, found.notes)


FORCE = Calculator(
    name="force",
    title=gettext_noop("Press and clamp force"),
    question=gettext_noop("What force presses this sheet, or keeps this mould shut?"),
    steps=("pressing", "injecting"),
    inputs=(
        Input(
            "work",
            gettext_noop("Work"),
            default="sheet",
            kind="choice",
            choices=(
                ("sheet", gettext_noop("pressing a sheet")),
                ("mould", gettext_noop("keeping a mould shut")),
            ),
        ),
        Input(
            "area_cm2",
            gettext_noop("Projected area"),
            "cm²",
            10_000,
            0.01,
            500_000,
            help=gettext_noop("As seen along the force, runners included; 1 m² is 10,000 cm²."),
        ),
        Input(
            "pressure_mpa", gettext_noop("Pressure on it"), "MPa", 1, 0.001, 300, basis="judgement"
        ),
        Input(
            "cavities", gettext_noop("Cavities"), gettext_noop("pieces"), 1, 1, 500, kind="whole"
        ),
        Input(
            "most_kn", gettext_noop("The press gives"), "kN", None, 0.1, 200_000, is_optional=True
        ),
        Input(
            "ram_mm",
            gettext_noop("Diameter of its ram"),
            "mm",
            None,
            5,
            2000,
            is_optional=True,
            help=gettext_noop("To know the oil pressure that makes the force."),
        ),
    ),
    outputs=(
        Output("force_kn", gettext_noop("Force"), "kN", 4, is_main=True, rounds="up"),
        Output(
            "tonnes", gettext_noop("The same in tonnes-force"), "t", 4, is_main=True, rounds="up"
        ),
        Output("spare_percent", gettext_noop("The press has to spare"), "%", 3, rounds="down"),
        Output("oil_bar", gettext_noop("Oil pressure on the ram"), "bar", 3, rounds="up"),
        Output("side_mm", gettext_noop("Side of a square of that area"), "mm", 3),
    ),
    answer=_answer,
    formula=("F = p · A · n", "p_oil = F / (π d² / 4)"),
    symbols=(
        ("F", gettext_noop("force"), "kN"),
        ("p", gettext_noop("pressure in the cavity or on the sheet"), "MPa"),
        ("A", gettext_noop("projected area of one cavity"), "cm²"),
        ("n", gettext_noop("cavities"), ""),
    ),
    sources=(
        Source(gettext_noop("Pressure times area"), "exact"),
        Source(
            gettext_noop("Moulds: 2 to 8 US tons per square inch, 27 to 110 MPa; two trade texts")
        ),
        Source(gettext_noop("Plaques: up to 10 MPa, note on ASTM D4703")),
        Source(gettext_noop("Sheets: from 0.5 MPa"), "judgement"),
    ),
    valid=gettext_noop(
        "The force that the plastic pushes with; choose a machine with room above it, and never exceed its plate."
    ),
    notes={
        "unusual": gettext_noop("Usual pressures for this lie between %(low)s and %(high)s MPa."),
        "too-weak": gettext_noop(
            "It takes %(force)s kN and the press gives only %(most)s kN: it would open, or not close."
        ),
    },
    caution=PRESS,
)
