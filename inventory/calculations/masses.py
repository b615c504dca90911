"""Masses as whole milligrams, and the text in which people write them.

Storage and logic count whole milligrams, so that sums are exact. Kilograms,
grams, pounds and ounces exist only where a person types or reads. A mass in
pounds or ounces is rounded to the milligram (halves to the even one), so what
is stored is at most half a milligram off what was typed.

The pound is the international avoirdupois pound, exactly 0.45359237 kg, and
an ounce is a sixteenth of it (NIST SP 811, 2008, Appendix B).
"""

import re
from collections.abc import Sequence
from decimal import ROUND_HALF_EVEN, Context, Decimal
from fractions import Fraction
from math import lcm

MG_PER_POUND, OUNCES_PER_POUND = Decimal("453592.37"), 16
MG_PER_UNIT = {"mg": 1, "g": 1_000, "kg": 1_000_000}
MG_PER_UNIT |= {"lb": MG_PER_POUND, "oz": MG_PER_POUND / OUNCES_PER_POUND}
HALF_MG = Decimal("0.5")
METRIC, IMPERIAL = ("kg", "g", "mg"), ("lb", "oz")
LARGEST_MG = 100_000 * MG_PER_UNIT["kg"]  # 100 t, far above what the shop can lift

_LONGEST_TEXT = 40
_EXACT = Context(prec=80)  # enough digits for the longest text in any unit: never rounds
# Capitals that people type. Not "Mg", which is the megagram.
_SUFFIXES = {"mg": "mg", "g": "g", "G": "g", "kg": "kg", "Kg": "kg", "KG": "kg"}
_SUFFIXES |= {"lb": "lb", "lbs": "lb", "Lb": "lb", "LB": "lb", "oz": "oz", "Oz": "oz", "OZ": "oz"}
_FINEST_DIGITS = 6  # a millionth of a pound is less than half a milligram
_TYPED = re.compile(
    r"""\s*(?P<sign>[+\-\u2212]?)
    (?:(?P<pounds>[0-9]{1,6})\s*lbs?\s*(?=[0-9.,]+\s*oz\s*$))?  # whole pounds before ounces
    (?P<whole>[0-9]{1,3}(?:\s[0-9]{3})+|[0-9]*)  # spaces only between groups of three
    (?:[.,](?P<part>[0-9]*))?
    \s*(?P<suffix>[A-Za-z]*)\s*""",
    re.VERBOSE,
)


def parse_mass(text: str, unit: str) -> int:
    """Return the whole milligrams that an operator typed.

    The decimal mark is a comma or a point; digits may be grouped in threes by
    spaces of any width. A comma or point is always the decimal mark, never a
    thousands mark: "1,500" kg is one and a half kilograms in every language.
    `unit` is kg, g, mg, lb or oz; a unit inside the text wins, and whole
    pounds may be followed by less than 16 ounces. A text with both a comma and
    a point is ambiguous and refused, and so is every exponent. Metric masses
    are exact; pounds and ounces are rounded to the milligram, halves to even.

    Raises ValueError whose first argument is one word for the reason:
    not-a-number, too-fine (finer than 1 mg), not-positive, too-large (above
    100 t), or unknown-unit for a `unit` that is none of the five.

    >>> parse_mass("2,5", "kg")
    2500000
    >>> parse_mass("1 250.5 g", "kg")
    1250500
    >>> parse_mass("1 lb 3 oz", "kg")
    538641
    """
    if unit not in MG_PER_UNIT:
        raise ValueError("unknown-unit")
    typed = _TYPED.fullmatch(text) if len(text) <= _LONGEST_TEXT else None
    suffix = typed["suffix"] if typed else ""
    if not typed or not (typed["whole"] or typed["part"]) or (suffix and suffix not in _SUFFIXES):
        raise ValueError("not-a-number")
    number = Decimal(f"0{''.join(typed['whole'].split())}.{typed['part'] or '0'}")
    if typed["pounds"] and number >= OUNCES_PER_POUND:
        raise ValueError("not-a-number")
    unit = _SUFFIXES.get(suffix, unit)
    mass_mg = _EXACT.multiply(number, Decimal(MG_PER_UNIT[unit]))
    mass_mg = _EXACT.add(mass_mg, int(typed["pounds"] or 0) * MG_PER_POUND)
    return _whole_mg(mass_mg, unit, is_negative=typed["sign"] not in ("", "+"))


def _whole_mg(exact_mg: Decimal, unit: str, *, is_negative: bool) -> int:
    if is_negative or not exact_mg:
        raise ValueError("not-positive")
    whole = exact_mg.to_integral_value(rounding=ROUND_HALF_EVEN, context=_EXACT)
    if max(whole, exact_mg if unit in METRIC else whole) > LARGEST_MG:
        raise ValueError("too-large")
    if not whole or (unit in METRIC and whole != exact_mg):
        raise ValueError("too-fine")
    return int(whole)


def format_mass(mass_mg: int, unit: str | None = None, *, digits: int | None = None) -> str:
    """Return a mass as plain text with its unit, such as "2.5 kg".

    Without `unit`, kg is chosen from 1 kg on, g from 1 g on, else mg. Without
    `digits` the text, typed again, gives the same milligrams: in kg, g and mg
    it is exact, in lb and oz it has as few decimals as that takes (never more
    than six). With `digits` it has so many decimals (halves go to the even
    digit). A negative mass, such as a gap, keeps its sign.

    >>> format_mass(2500000)
    '2.5 kg'
    >>> format_mass(2500000, "g")
    '2500 g'
    >>> format_mass(1234567, "kg", digits=2)
    '1.23 kg'
    >>> format_mass(1133981, "lb")
    '2.5 lb'
    """
    if unit is None:
        unit = natural_unit(mass_mg)
    if digits is not None:
        number = _rounded(mass_mg, unit, digits)
        return f"{number or abs(number):f} {unit}"  # abs: a gap rounded to zero keeps no sign
    written = f"{_read_back(mass_mg, unit):f}"
    return f"{written.rstrip('0').rstrip('.') if '.' in written else written} {unit}"


def _rounded(mass_mg: int, unit: str, digits: int) -> Decimal:
    number = _EXACT.divide(Decimal(mass_mg), Decimal(MG_PER_UNIT[unit]))
    step = Decimal(1).scaleb(-digits)
    return number.quantize(step, rounding=ROUND_HALF_EVEN, context=_EXACT)


def _read_back(mass_mg: int, unit: str) -> Decimal:
    """Return the number with the fewest decimals that stands for the same milligrams."""
    if unit in METRIC:
        return _EXACT.divide(Decimal(mass_mg), Decimal(MG_PER_UNIT[unit]))
    for digits in range(_FINEST_DIGITS):
        number = _rounded(mass_mg, unit, digits)
        if abs(_EXACT.multiply(number, MG_PER_UNIT[unit]) - mass_mg) < HALF_MG:
            return number
    return _rounded(mass_mg, unit, _FINEST_DIGITS)


def natural_unit(mass_mg: int, units: Sequence[str] = METRIC) -> str:
    """Return the first of the units, largest first, of which the mass is at least one; else the last.

    >>> natural_unit(340_000, IMPERIAL)
    'oz'
    """
    return next((unit for unit in units if abs(mass_mg) >= MG_PER_UNIT[unit]), units[-1])


def split_mass(total_mg: int, weights: Sequence[int | float | Fraction]) -> list[int]:
    """Return whole milligrams in proportion to the weights, summing to the total.

    Largest remainder: each gets its share rounded down, and what is left goes
    one milligram each to the largest remainders, the earlier first when they
    are equal. The arithmetic is exact for whole numbers, fractions and floats
    alike. No result is negative, none is off by a whole milligram, and a
    weight of zero gets nothing.

    Raises ValueError for a negative total, a negative weight, and a total
    above zero with no weight to carry it.

    >>> split_mass(100, [1, 1, 1])
    [34, 33, 33]
    """
    parts = _whole_weights(weights)
    if total_mg < 0 or any(part < 0 for part in parts):
        raise ValueError("negative")
    whole = sum(parts)
    if not whole:
        if total_mg:
            raise ValueError("no-weight")
        return [0] * len(parts)
    masses, remainders = [], []
    for part in parts:
        mass, remainder = divmod(total_mg * part, whole)
        masses.append(mass)
        remainders.append(remainder)
    largest_first = sorted(range(len(parts)), key=lambda place: -remainders[place])
    for place in largest_first[: total_mg - sum(masses)]:
        masses[place] += 1
    return masses


def _whole_weights(weights: Sequence[int | float | Fraction]) -> list[int]:
    """Bring the weights to one denominator and return the numerators, exactly."""
    ratios = [weight.as_integer_ratio() for weight in weights]
    shared = lcm(*(below for _, below in ratios))
    return [above * (shared // below) for above, below in ratios]
