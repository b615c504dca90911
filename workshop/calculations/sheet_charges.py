"""What a pressed sheet weighs, what to charge for it, and how high the loose flake lies."""

from collections.abc import Mapping
from dataclasses import dataclass

from products.calculations.calculators import (
    PRESS,
    Answer,
    Calculator,
    Input,
    Note,
    Output,
    Source,
    density_input,
    noted,
    polymer_input,
)
from products.calculations.sentences import gettext_noop

MM3_PER_CM3 = 1000
G_PER_KG = 1000
MM_PER_CM = 10
USUAL_ALLOWANCE_PERCENT = (2, 5)


@dataclass(frozen=True)
class SheetCharge:
    """What to weigh in for a sheet, and how it fills the frame."""

    sheet_kg: float
    charge_kg: float
    area_m2: float
    kg_m2: float
    frame_l: float
    fill_depth_mm: float | None = None
    loose_l: float | None = None
    notes: tuple[Note, ...] = ()


@dataclass(frozen=True)
class SheetSize:
    """Length, width and thickness of a sheet in mm."""

    length_mm: float
    width_mm: float
    thickness_mm: float


def sheet_mass_kg(size: SheetSize, *, density_g_cm3: float) -> float:
    """Return the mass in kg of a plain sheet.

    m = L W t rho. Hand check: 3 mm of PMMA at 1.19 g/cm3 is 3.57 kg/m2.

    >>> round(sheet_mass_kg(SheetSize(1000, 1000, 3), density_g_cm3=1.19), 3)
    3.57
    """
    volume_cm3 = size.length_mm * size.width_mm * size.thickness_mm / MM3_PER_CM3
    return volume_cm3 * density_g_cm3 / G_PER_KG


def sheet_charge(
    size: SheetSize,
    *,
    density_g_cm3: float,
    allowance_percent: float,
    bulk_g_cm3: float | None = None,
) -> SheetCharge:
    """Return the charge of a sheet with its flash and purge, and the depth of the loose bed.

    charge = m (1 + f); the bed of the whole charge is (1 + f) t rho / rho_bulk high. The frame's
    volume is that of the finished sheet. f of 2 to 5 % is this project's judgement; outside of
    it the result carries a note, and so it does where the bed is above three sheets high.

    >>> charge = sheet_charge(
    ...     SheetSize(1000, 1000, 10), density_g_cm3=0.955, allowance_percent=3, bulk_g_cm3=0.4
    ... )
    >>> round(charge.sheet_kg, 3), round(charge.charge_kg, 3), round(charge.fill_depth_mm, 1)
    (9.55, 9.837, 24.6)
    """
    sheet_kg = sheet_mass_kg(size, density_g_cm3=density_g_cm3)
    charge_kg = sheet_kg * (1 + allowance_percent / 100)
    area_m2 = size.length_mm * size.width_mm / 1e6
    low, high = USUAL_ALLOWANCE_PERCENT
    depth_mm = charge_kg / bulk_g_cm3 / area_m2 if bulk_g_cm3 else None
    return SheetCharge(
        sheet_kg=sheet_kg,
        charge_kg=charge_kg,
        area_m2=area_m2,
        kg_m2=sheet_kg / area_m2,
        frame_l=area_m2 * size.thickness_mm,
        fill_depth_mm=depth_mm,
        loose_l=charge_kg / bulk_g_cm3 if bulk_g_cm3 else None,
        notes=noted(
            (not low <= allowance_percent <= high, "allowance", {"low": low, "high": high}),
            (bool(bulk_g_cm3) and bulk_g_cm3 > density_g_cm3, "bulk-above-solid", {}),
            (
                depth_mm is not None and depth_mm > 3 * size.thickness_mm,
                "deep",
                {"depth": depth_mm, "thickness": size.thickness_mm},
            ),
        ),
    )


def _answer(given: Mapping) -> Answer:
    size = SheetSize(given["length_mm"], given["width_mm"], given["thickness_mm"])
    found = sheet_charge(
        size,
        density_g_cm3=given["density_g_cm3"],
        allowance_percent=given["allowance_percent"],
        bulk_g_cm3=given["bulk_g_cm3"],
    )
    return Answer(vars(found), found.notes)


SHEET_CHARGE = Calculator(
    name="sheet-charge",
    title=gettext_noop("Sheet and charge"),
    question=gettext_noop("How much do I weigh in for a sheet, and how high will the flake lie?"),
    steps=("pressing",),
    inputs=(
        polymer_input(),
        Input("length_mm", gettext_noop("Length"), "mm", 1000, 10, 5000),
        Input("width_mm", gettext_noop("Width"), "mm", 1000, 10, 5000),
        Input("thickness_mm", gettext_noop("Thickness"), "mm", 10, 0.5, 200),
        Input(
            "allowance_percent",
            gettext_noop("Flash and purge on top"),
            "%",
            3,
            0,
            50,
            basis="judgement",
        ),
        density_input(),
        Input(
            "bulk_g_cm3",
            gettext_noop("Bulk density of the flake"),
            "g/cm³",
            0.4,
            0.01,
            2,
            is_optional=True,
            basis="memory",
            help=gettext_noop("Weigh one litre of it: kg in a litre is the same figure."),
        ),
    ),
    outputs=(
        Output("charge_kg", gettext_noop("Charge to weigh in"), "kg", 4, is_main=True, rounds="up"),
        Output(
            "fill_depth_mm",
            gettext_noop("Loose bed is this high"),
            "mm",
            3,
            is_main=True,
            rounds="up",
        ),
        Output("sheet_kg", gettext_noop("Finished sheet"), "kg", 4),
        Output("kg_m2", gettext_noop("Per square metre"), "kg/m²", 4),
        Output("area_m2", gettext_noop("Area"), "m²", 4),
        Output("frame_l", gettext_noop("Volume of the frame"), "l", 4),
        Output("loose_l", gettext_noop("Volume of the loose charge"), "l", 3, rounds="up"),
    ),
    answer=_answer,
    formula=("m = L · W · t · ρ", "m_charge = m · (1 + f)", "h = m_charge / (L · W · ρ_bulk)"),
    symbols=(
        ("m", gettext_noop("mass of the sheet"), "kg"),
        ("L, W, t", gettext_noop("length, width, thickness"), "mm"),
        ("ρ", gettext_noop("density of the solid plastic"), "g/cm³"),
        ("f", gettext_noop("share for flash and purge"), "%"),
        ("h", gettext_noop("height of the loose bed"), "mm"),
        ("ρ_bulk", gettext_noop("density of the loose flake, air included"), "g/cm³"),
    ),
    sources=(
        Source(gettext_noop("Volume times density"), "exact"),
        Source(gettext_noop("Flash and purge of 2 to 5 %"), "judgement"),
        Source(gettext_noop("Flake of 0.4 g/cm³; International Plastics Handbook"), "memory"),
    ),
    valid=gettext_noop(
        "For full sheets without voids. Fillers, foam and trapped air move the density by more than that."
    ),
    notes={
        "allowance": gettext_noop(
            "Flash and purge usually come to %(low)s to %(high)s %% (our own judgement)."
        ),
        "bulk-above-solid": gettext_noop(
            "Loose flake cannot be denser than the plastic itself; check both densities."
        ),
        "deep": gettext_noop(
            "The loose bed of %(depth)s mm is more than three sheets high: fill in layers, or with a higher frame."
        ),
    },
    caution=PRESS,
)
