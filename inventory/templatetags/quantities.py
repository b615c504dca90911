"""Filters that write masses, shares, days, codes and marks the way the workshop reads them.

Masses come in as whole milligrams and are written in the workshop's units.
The number and its unit are joined by a space that does not break; digits are
grouped as the reader's language does, and days and times stand in its formats.
"""

from datetime import datetime
from decimal import Decimal

from django import template
from django.utils.formats import date_format
from django.utils.timezone import localtime

from inventory.calculations.codes import group_code, grouped_codes, joined_codes
from inventory.calculations.masses import format_mass
from inventory.queries.durations import duration_said
from inventory.queries.masses import (
    bulk_said,
    exact_mass_said,
    in_table_said,
    localised,
    mass_said,
    public_mass_said,
    trimmed,
    unit_here,
)
from inventory.queries.percentages import WHOLE, percent_said
from inventory.queries.prices import price_said

register = template.Library()

NO_BREAK = "\u00a0"
NOTHING = "\u2013"
FIGURES = 3  # of an estimate that is read
MG_PER_KG = 1_000_000
SECONDS = "H:i:s"  # no language's formats have seconds

register.filter("unit_here", unit_here)


def _joined(written: str) -> str:
    return written.replace(" ", NO_BREAK)


@register.filter
def mass(mass_mg):
    """Write milligrams in the unit that reads best: kg to the gram, below that exactly; nothing is 0 kg."""
    return _joined(mass_said(mass_mg)) if isinstance(mass_mg, int) else NOTHING


@register.filter
def about(mass_mg):
    """Write an estimate of a mass: to the gram, below a kilogram to three figures."""
    if not isinstance(mass_mg, int):
        return NOTHING
    places = max(0, len(str(abs(mass_mg))) - FIGURES)
    return mass(round(mass_mg, -places) if abs(mass_mg) < MG_PER_KG else mass_mg)


@register.filter
def exact_mass(mass_mg):
    """Write milligrams in the unit that reads best, exactly."""
    return _joined(exact_mass_said(mass_mg)) if isinstance(mass_mg, int) else NOTHING


@register.filter
def bulk(mass_mg, places=None):
    """Write milligrams in kg or lb to three decimals; with `places`, always so many."""
    if not isinstance(mass_mg, int):
        return NOTHING
    return _joined(bulk_said(mass_mg, None if places is None else int(places)))


@register.filter
def in_table(mass_mg, unit):
    """Write a mass of a table in its one unit, without that: it stands in the heading; nothing is a dash."""
    return _joined(in_table_said(mass_mg, unit)) if mass_mg else NOTHING


@register.filter
def kg(mass_mg, places=None):
    """Write milligrams as kg, whatever the workshop's units: to the gram, or with so many decimals."""
    if not isinstance(mass_mg, int):
        return NOTHING
    if places is None:
        return _joined(trimmed(mass_mg, "kg"))
    return _joined(localised(*format_mass(mass_mg, "kg", digits=int(places)).split()))


@register.filter
def public_mass(mass_mg):
    """Write milligrams for strangers: where the workshop weighs in pounds, with the metric mass in brackets."""
    return _joined(public_mass_said(mass_mg)) if isinstance(mass_mg, int) else NOTHING


@register.filter
def moment(at):
    """Write a day and time in the workshop's zone, in the reader's format."""
    return _written(at, "SHORT_DATETIME_FORMAT")


@register.filter
def day(on):
    """Write a day in the reader's short format."""
    return _written(on, "SHORT_DATE_FORMAT")


@register.filter
def long_day(on):
    """Write a day with its month in full, where the language does so."""
    return _written(on, "DATE_FORMAT")


@register.filter
def clock(at):
    """Write the time of a day in the reader's format."""
    return _written(at, "TIME_FORMAT")


@register.filter
def clock_seconds(at):
    """Write the time of a day to the second."""
    return _written(at, SECONDS)


@register.filter
def duration(seconds):
    """Write how long something takes with its units, such as 11 min 7 s; what is not known is a dash."""
    return NOTHING if seconds is None or seconds == "" else duration_said(seconds)


@register.filter
def near_moment(at):
    """Write a day without its year, and the time."""
    return f"{_written(at, 'MONTH_DAY_FORMAT')}, {clock(at)}" if at else ""


def _written(at, pattern: str) -> str:
    if not at:
        return ""
    return date_format(localtime(at) if isinstance(at, datetime) else at, pattern)


@register.filter
def percent(share):
    """Write a share of 0 to 1 as per cent with one decimal; no rounding claims none or all of it."""
    if share is None or share == "":
        return NOTHING
    return _joined(percent_said(share))


@register.filter
def percent_to(share, places):
    """Write a share as per cent with so many decimals; it may be below zero."""
    exact = (Decimal(float(share)) * WHOLE).quantize(Decimal(1).scaleb(-int(places)))
    return _joined(localised(f"{exact if exact else abs(exact):f}", "%"))


@register.filter
def plain_number(number, unit=""):
    """Write an exact number as short as it is, with its unit."""
    written = f"{Decimal(number):f}"
    written = written.rstrip("0").rstrip(".") if "." in written else written
    return _joined(localised(written, unit or "").strip())


@register.filter
def price(amount, unit):
    """Write money as it was typed, with at least the decimals of the currency that its unit begins with."""
    return price_said(amount, unit)


@register.filter
def code_groups(code):
    """Write a twelve-character code in groups of four that stay on one line."""
    return group_code(str(code or "")).replace(" ", NO_BREAK)


@register.filter
def codes_grouped(text):
    """Write the codes within a text, such as the reference of a posting, in groups that stay on one line."""
    return grouped_codes(joined_codes(str(text or "")), NO_BREAK)


@register.filter
def mark(symbol):
    """Write the ISO 11469 text of a polymer symbol."""
    return f">{symbol}<" if symbol else NOTHING
