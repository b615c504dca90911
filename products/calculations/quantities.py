"""What is read off a machine: units, what can be true at all, and where a value lies in its window."""

from dataclasses import dataclass
from decimal import Decimal

ABSOLUTE_ZERO_C = Decimal(
    "-273.15"
)  # by definition of the degree Celsius (SI Brochure, 9th edition)


@dataclass(frozen=True)
class QuantityRule:
    """The unit of a quantity and the values between which a reading can be true at all."""

    unit: str
    least: Decimal
    most: Decimal
    is_heat: bool = False


# Barrels, platens and ovens of a workshop stay below this: common practice.
HOTTEST_C = Decimal(500)
HEAT = QuantityRule("°C", ABSOLUTE_ZERO_C, HOTTEST_C, is_heat=True)


def up_to(most: int, unit: str) -> QuantityRule:
    """Return the rule of a quantity that cannot be below zero; the upper end is common practice."""
    return QuantityRule(unit, Decimal(0), Decimal(most))


QUANTITIES = {
    "melt": HEAT,
    "mould": HEAT,
    "platen": HEAT,
    "die": HEAT,
    "sheet": HEAT,
    "oven": HEAT,
    "injection-pressure": up_to(3000, "bar"),
    "pack-pressure": up_to(3000, "bar"),
    "melt-pressure": up_to(1000, "bar"),
    "clamp-force": up_to(20_000, "kN"),
    "press-force": up_to(20_000, "kN"),
    "screw-speed": up_to(2000, "1/min"),
    "rotor-speed": up_to(3000, "1/min"),
    "drum-speed": up_to(300, "1/min"),
    "spindle-speed": up_to(60_000, "1/min"),
    "line-speed": up_to(500, "m/min"),
    "feed-speed": up_to(500, "m/min"),
    "current": up_to(1000, "A"),
}

# What is usually read in each operation, in the order in which it is looked at: common practice.
READ_IN = {
    "granulate": ("rotor-speed", "current"),
    "blend": ("drum-speed",),
    "press": ("platen", "press-force"),
    "inject": (
        "melt",
        "mould",
        "injection-pressure",
        "pack-pressure",
        "clamp-force",
        "screw-speed",
    ),
    "extrude": ("melt", "die", "melt-pressure", "screw-speed", "line-speed"),
    "cut": ("spindle-speed", "feed-speed"),
    "form": ("sheet", "oven"),
}


def can_be(quantity: str, value: Decimal) -> bool:
    """Return whether a reading can be true at all; otherwise it is a slip of the finger.

    >>> can_be("melt", Decimal("230")), can_be("melt", Decimal("2300")), can_be("melt", Decimal("-274"))
    (True, False, False)
    """
    rule = QUANTITIES[quantity]
    return rule.least <= value <= rule.most


def place_in_window(value: Decimal, low: Decimal | None, high: Decimal | None) -> str:
    """Return "in", "above" or "below"; empty without a window. The ends belong to the window.

    >>> place_in_window(Decimal(230), Decimal(190), Decimal(230)), place_in_window(Decimal(9), None, None)
    ('in', '')
    """
    if low is None and high is None:
        return ""
    if low is not None and value < low:
        return "below"
    return "above" if high is not None and value > high else "in"
