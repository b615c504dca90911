"""Masses as whole milligrams, and the text in which people write them.

Storage and logic count whole milligrams, so that sums are exact. Kilograms
and grams exist only where a person types or reads.
"""

import re
from collections.abc import Sequence
from decimal import ROUND_HALF_EVEN, Context, Decimal
from fractions import Fraction
from math import lcm

MG_PER_UNIT = {"mg": 1, "g": 1_000, "kg": 1_000_000}
LARGEST_MG = 100_000 * MG_PER_UNIT["kg"]  # 100 t, far above what the shop can lift

_LONGEST_TEXT = 40
_EXACT = Context(prec=80)  # enough digits for the longest text in any unit: never rounds
# Capitals that people type. Not "Mg", which is the megagram.
_SUFFIXES = {"mg": "mg", "g": "g", "G": "g", "kg": "kg", "Kg": "kg", "KG": "kg"}
_TYPED = re.compile(
    r"""\s*(?P<sign>[+\-\u2212]?)
    (?P<whole>[0-9]{1,3}(?:\s[0-9]{3})+|[0-9]*)  # spaces only between groups of three
    (?:[.,](?P<part>[0-9]*))?
    \s*(?P<suffix>[A-Za-z]*)\s*""",
    re.VERBOSE,
)


def parse_mass(text: str, unit: str) -> int:
    """Return the whole milligrams that an operator typed.

    The decimal mark is a comma or a point; digits may be grouped in threes by
    spaces of any width. `unit` is mg, g or kg; a unit inside the text wins.
    A text with both a comma and a point is ambiguous and refused, and so is
    every exponent. The conversion is exact; nothing is rounded.

    Raises ValueError whose first argument is one word for the reason:
    not-a-number, too-fine (finer than 1 mg), not-positive, too-large (above
    100 t), or unknown-unit for a `unit` that is none of the three.

    >>> parse_mass("2,5", "kg")
    2500000
    >>> parse_mass("1 250.5 g", "kg")
    1250500
    """
    if unit not in MG_PER_UNIT:
        raise ValueError("unknown-unit")
    typed = _TYPED.fullmatch(text) if len(text) <= _LONGEST_TEXT else None
    suffix = typed["suffix"] if typed else ""
    if not typed or not (typed["whole"] or typed["part"]) or (suffix and suffix not in _SUFFIXES):
        raise ValueError("not-a-number")
    digits = f"0{''.join(typed['whole'].split())}.{typed['part'] or '0'}"
    per_unit = MG_PER_UNIT[_SUFFIXES.get(suffix, unit)]
    mass_mg = _EXACT.multiply(Decimal(digits), Decimal(per_unit))
    _check_mass(mass_mg, is_negative=typed["sign"] not in ("", "+"))
    return int(mass_mg)


def _check_mass(mass_mg: Decimal, *, is_negative: bool) -> None:
    if is_negative or not mass_mg:
        raise ValueError("not-positive")
    if mass_mg > LARGEST_MG:
        raise ValueError("too-large")
    if mass_mg != mass_mg.to_integral_value():
        raise ValueError("too-fine")


def format_mass(mass_mg: int, unit: str | None = None, *, digits: int | None = None) -> str:
    """Return a mass as plain text with its unit, such as "2.5 kg".

    Without `unit`, kg is chosen from 1 kg on, g from 1 g on, else mg. The text
    is exact and without trailing zeros unless `digits` asks for that many
    decimals (halves go to the even digit). A negative mass, such as a gap,
    keeps its sign.

    >>> format_mass(2500000)
    '2.5 kg'
    >>> format_mass(2500000, "g")
    '2500 g'
    >>> format_mass(1234567, "kg", digits=2)
    '1.23 kg'
    """
    if unit is None:
        unit = _natural_unit(abs(mass_mg))
    number = _EXACT.divide(Decimal(mass_mg), Decimal(MG_PER_UNIT[unit]))
    if digits is not None:
        number = number.quantize(
            Decimal(1).scaleb(-digits), rounding=ROUND_HALF_EVEN, context=_EXACT
        )
        return f"{number or abs(number):f} {unit}"  # abs: a gap rounded to zero keeps no sign
    written = f"{number:f}"
    return f"{written.rstrip('0').rstrip('.') if '.' in written else written} {unit}"


def _natural_unit(mass_mg: int) -> str:
    if mass_mg >= MG_PER_UNIT["kg"]:
        return "kg"
    return "g" if mass_mg >= MG_PER_UNIT["g"] else "mg"


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
