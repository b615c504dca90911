"""Filters that write masses, shares, codes and marks the way the workshop reads them.

Masses come in as whole milligrams. The number and its unit are joined by a
space that does not break; digits are grouped as the reader's language does.
"""

from decimal import ROUND_HALF_EVEN, Decimal

from django import template
from django.utils.formats import number_format

from inventory.calculations.codes import group_code
from inventory.calculations.masses import format_mass

register = template.Library()

NO_BREAK = "\u00a0"
NOTHING = "\u2013"
KG_MG = 1_000_000
WHOLE = Decimal(100)
TENTH = Decimal("0.1")
FLOAT_NOISE = Decimal("1e-10")  # of a per cent: what sums of floats may be off by


def _localise(number: str, unit: str) -> str:
    places = len(number.partition(".")[2])
    written = number_format(Decimal(number), decimal_pos=places, force_grouping=True)
    return f"{written}{NO_BREAK}{unit}".replace("-", "\u2212")


def _trimmed(mass_mg: int, unit: str, *, digits: int) -> str:
    """Write a mass rounded to so many decimals, without zeros at the end."""
    number, unit = format_mass(mass_mg, unit, digits=digits).split()
    return _localise(number.rstrip("0").rstrip(".") if "." in number else number, unit)


@register.filter
def mass(mass_mg):
    """Write milligrams in the unit that reads best: kg to the gram, below that exactly; nothing is 0 kg."""
    if not isinstance(mass_mg, int):
        return NOTHING
    if abs(mass_mg) >= KG_MG or not mass_mg:
        return _trimmed(mass_mg, "kg", digits=3)
    return _localise(*format_mass(mass_mg).split())


@register.filter
def exact_mass(mass_mg):
    """Write milligrams in the unit that reads best, exactly."""
    if not isinstance(mass_mg, int):
        return NOTHING
    return _localise(*format_mass(mass_mg).split())


@register.filter
def kg(mass_mg, places=None):
    """Write milligrams as kg to the gram; with `places`, always so many decimals."""
    if not isinstance(mass_mg, int):
        return NOTHING
    if places is None:
        return _trimmed(mass_mg, "kg", digits=3)
    return _localise(*format_mass(mass_mg, "kg", digits=int(places)).split())


@register.filter
def grams(mass_mg):
    """Write milligrams as g, exactly."""
    if not isinstance(mass_mg, int):
        return NOTHING
    return _localise(*format_mass(mass_mg, "g").split())


@register.filter
def percent(share):
    """Write a share of 0 to 1 as per cent with one decimal; no rounding claims none or all of it."""
    if share is None or share == "":
        return NOTHING
    exact = (Decimal(float(share)) * WHOLE).quantize(FLOAT_NOISE)
    rounded = exact.quantize(TENTH, rounding=ROUND_HALF_EVEN)
    if exact > 0 and not rounded:
        return f"<{NO_BREAK}{_localise('0.1', '%')}"
    if exact < WHOLE and rounded == WHOLE:
        return f">{NO_BREAK}{_localise('99.9', '%')}"
    return _localise(f"{rounded:f}", "%")


@register.filter
def code_groups(code):
    """Write a twelve-character code in groups of four that stay on one line."""
    return group_code(str(code or "")).replace(" ", NO_BREAK)


@register.filter
def mark(symbol):
    """Write the ISO 11469 text of a polymer symbol."""
    return f">{symbol}<" if symbol else NOTHING
