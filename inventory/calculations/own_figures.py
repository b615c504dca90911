"""Which figures of a polymer a workshop may replace by its own, and what such a figure can be."""

from collections.abc import Mapping
from dataclasses import dataclass

Ends = Mapping[str, float | None]

FIGURE, WINDOW, CEILING = "figure", "window", "ceiling"


@dataclass(frozen=True)
class Rule:
    """A figure by its kind and the values between which it can be, in its unit."""

    kind: str
    unit: str
    least: float
    most: float
    heats: bool = False

    @property
    def ends(self) -> tuple[str, ...]:
        """Return which values it is given by.

        >>> Rule("window", "°C", 0, 500).ends
        ('low', 'high')
        """
        return {FIGURE: ("low", "typical", "high"), WINDOW: ("low", "high")}.get(
            self.kind, ("typical",)
        )


# The limits are this project's judgement: wide enough for any plastic, narrow enough for a slip.
RULES = {
    "inject-melt": Rule(WINDOW, "°C", 40, 450, heats=True),
    "inject-mould": Rule(WINDOW, "°C", -20, 250),
    "extrude-melt": Rule(WINDOW, "°C", 40, 450, heats=True),
    "press-platen": Rule(WINDOW, "°C", 40, 450, heats=True),
    "form-sheet": Rule(WINDOW, "°C", 30, 300, heats=True),
    "dry-air": Rule(WINDOW, "°C", 20, 220),
    "dry-hours": Rule(WINDOW, "h", 0.25, 72),
    "moisture": Rule(WINDOW, "%", 0.001, 5),
    "density": Rule(FIGURE, "g/cm³", 0.005, 3),
    "melt-density": Rule(FIGURE, "g/cm³", 0.3, 3),
    "mould-shrinkage": Rule(FIGURE, "%", 0, 10),
    "youngs-modulus": Rule(FIGURE, "GPa", 0.001, 20),
    "thermal-diffusivity": Rule(FIGURE, "× 10⁻⁷ m²/s", 0.1, 20),
    "specific-heat-solid": Rule(FIGURE, "kJ/(kg K)", 0.3, 6),
    "specific-heat-melt": Rule(FIGURE, "kJ/(kg K)", 0.3, 6),
    "heat-of-fusion": Rule(FIGURE, "kJ/kg", 0, 400),
    "melts-at": Rule(FIGURE, "°C", 30, 400),
    "fume-above": Rule(CEILING, "°C", 50, 450),
}
OF_REJECT = frozenset({"density", "fume-above"})


def may_be_own(name: str, *, is_rejected: bool) -> bool:
    """Return whether a figure may be the workshop's own; reject material gets none to heat it by.

    >>> may_be_own("press-platen", is_rejected=False), may_be_own("press-platen", is_rejected=True)
    (True, False)
    """
    return name in RULES and (name in OF_REJECT or not is_rejected)


def completed(name: str, ends: Ends) -> dict[str, float | None]:
    """Return the values of a figure; one that was measured once is its own least and most.

    >>> completed("density", {"low": None, "typical": 0.951, "high": None})
    {'low': 0.951, 'typical': 0.951, 'high': 0.951}
    """
    rule = RULES[name]
    given = {end: ends.get(end) for end in ("low", "typical", "high")}
    if rule.kind == FIGURE:
        given |= {end: given["typical"] for end in ("low", "high") if given[end] is None}
    return {end: value if end in rule.ends else None for end, value in given.items()}


def fault_of(name: str, ends: Ends) -> str:
    """Return why values are no figure of that name, or empty: `incomplete`, `disordered`, `absurd`.

    >>> fault_of("press-platen", {"low": 200, "typical": None, "high": 170})
    'disordered'
    """
    rule = RULES[name]
    values = [ends[end] for end in rule.ends]
    if None in values:
        return "incomplete"
    if values != sorted(values):
        return "disordered"
    beyond = not all(rule.least <= value <= rule.most for value in values)
    broken = rule.kind == CEILING and values[0] != int(values[0])
    return "absurd" if beyond or broken else ""


def lower_ceiling_c(own: float | None, reference: int | None) -> int | None:
    """Return the fume ceiling in °C that holds: the lower of the workshop's own and the reference's.

    >>> lower_ceiling_c(250, 280), lower_ceiling_c(300, 280), lower_ceiling_c(None, None)
    (250, 280, None)
    """
    return min((int(c) for c in (own, reference) if c is not None), default=None)
