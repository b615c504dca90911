"""Masses in the workshop's units (the setting MASS_UNITS) and the reader's digits.

Every mass that a person reads on a page, a label or in a refusal is written
here, and every form asks here in which unit a bare number is meant. The API,
the ledger and its exports know milligrams and kilograms only.
"""

from collections.abc import Iterable
from decimal import Decimal

from django.conf import settings
from django.utils.formats import get_format, number_format
from django.utils.functional import lazy
from django.utils.translation import gettext_lazy as _

from inventory.calculations.masses import (
    IMPERIAL,
    METRIC,
    MG_PER_UNIT,
    format_mass,
    natural_unit,
)

POUNDS_FOR = {"kg": "lb", "g": "oz"}
NAMES = {"kg": _("kg"), "g": _("g"), "lb": _("lb"), "oz": _("oz")}
READ_DIGITS = 3  # decimals of a mass that is read and not typed again


def is_imperial() -> bool:
    """Return whether the workshop weighs in pounds and ounces."""
    return settings.MASS_UNITS == "imperial"


def unit_here(unit: str) -> str:
    """Return lb for kg and oz for g where the workshop weighs in pounds; else the unit itself."""
    return POUNDS_FOR.get(unit, unit) if is_imperial() else unit


def mass_units() -> list[tuple]:
    """Return the units to choose from when a mass is typed, the large one first."""
    return [(unit, NAMES[unit]) for unit in (unit_here("kg"), unit_here("g"))]


def _in_units(text) -> str:
    return str(text) % {"unit": unit_here("kg")}


in_units = lazy(_in_units, str)  # a text of a form, made once but shown in today's units


def localised(number: str, unit: str) -> str:
    """Return a number with a true minus and the reader's marks, and its unit."""
    places = len(number.partition(".")[2])
    written = number_format(Decimal(number), decimal_pos=places, force_grouping=True)
    return f"{written} {unit}".replace("-", "\u2212")


def trimmed(mass_mg: int, unit: str) -> str:
    """Return a mass rounded for reading, without zeros at the end."""
    number, unit = format_mass(mass_mg, unit, digits=READ_DIGITS).split()
    return localised(number.rstrip("0").rstrip("."), unit)


def mass_in(units: tuple, mass_mg: int) -> str:
    """Return a mass in the unit that reads best: the large one to three decimals, below that closer."""
    large, *small = units
    if abs(mass_mg) >= MG_PER_UNIT[large] or not mass_mg:
        return trimmed(mass_mg, large)
    if units == IMPERIAL and float(format_mass(mass_mg, "oz", digits=READ_DIGITS).split()[0]):
        return trimmed(mass_mg, "oz")
    return localised(*format_mass(mass_mg, natural_unit(mass_mg, small)).split())


def mass_said(mass_mg: int) -> str:
    """Return a mass as it is read: kg to the gram and below that exactly, or lb and oz to three decimals."""
    return mass_in(IMPERIAL if is_imperial() else METRIC, mass_mg)


def exact_mass_said(mass_mg: int) -> str:
    """Return a mass so that, typed again, it is the same milligrams."""
    units = IMPERIAL if is_imperial() else METRIC
    return localised(*format_mass(mass_mg, natural_unit(mass_mg, units)).split())


def bulk_said(mass_mg: int, digits: int | None = READ_DIGITS) -> str:
    """Return a mass in kg or lb with so many decimals; with None, without zeros at the end."""
    unit = unit_here("kg")
    if digits is None:
        return trimmed(mass_mg, unit)
    return localised(*format_mass(mass_mg, unit, digits=digits).split())


def public_mass_said(mass_mg: int) -> str:
    """Return a mass for strangers: in the workshop's unit, with the metric one in brackets where that differs."""
    metric = mass_in(METRIC, mass_mg)
    return f"{mass_said(mass_mg)} ({metric})" if is_imperial() else metric


def table_unit(masses_mg: Iterable[int]) -> str:
    """Return the one unit of a table of masses: the large one when any of them comes to one of it."""
    large, small = (unit_here(unit) for unit in ("kg", "g"))
    return large if any(abs(mass_mg) >= MG_PER_UNIT[large] for mass_mg in masses_mg) else small


def in_table_said(mass_mg: int, unit: str) -> str:
    """Return a mass of a table in its unit, which stands in the heading: three decimals, and none hidden as 0."""
    number = format_mass(mass_mg, unit, digits=READ_DIGITS).split()[0]
    if mass_mg > 0 and not float(number):
        return "< " + localised(f"{10**-READ_DIGITS:f}"[: 2 + READ_DIGITS], "").strip()
    return localised(number, "").strip()


def typed_mass(mass_mg: int, unit: str | None = None) -> str:
    """Return what a person would type for a mass: of `unit` without it, else in the natural unit with it.

    The decimal mark is the reader's; read again it is the same milligrams.
    """
    units = IMPERIAL if is_imperial() else METRIC
    written = format_mass(mass_mg, unit or natural_unit(mass_mg, units))
    if unit:
        written = written.removesuffix(unit).strip()
    return written.replace(".", "," if get_format("DECIMAL_SEPARATOR") == "," else ".")
