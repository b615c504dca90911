"""The properties of polymers that the arithmetic of the trade asks for, their units and their sources."""

from dataclasses import dataclass
from datetime import datetime

# Each is low, typical, high; but "spencer-gilmore" is W in g/mol, p* in atm and b* in cm3/g.
UNITS = {
    "thermal-diffusivity": "× 10⁻⁷ m²/s",
    "specific-heat-solid": "kJ/(kg K)",
    "specific-heat-melt": "kJ/(kg K)",
    "heat-of-fusion": "kJ/kg",
    "melts-at": "°C",
    "mould-shrinkage": "%",
    "youngs-modulus": "GPa",
    "melt-density": "g/cm³",
    "spencer-gilmore": "",
}
ENDS = ("low", "typical", "high")
MEMORY, JUDGEMENT, PRACTICE = {"M", "M-std", "M-T"}, {"J"}, {"common"}
OWN = ("own",)


@dataclass(frozen=True)
class Figure:
    """A figure of a polymer and the keys of its sources; `since` when it is the workshop's own."""

    value: float
    sources: tuple[str, ...]
    since: datetime | None = None

    @property
    def basis(self) -> str:
        """Return on what it rests at its weakest: judgement, memory, or empty when it is published.

        >>> Figure(1.0, ("PG", "J")).basis
        'judgement'
        """
        return basis_of(self.sources)


def basis_of(sources: tuple[str, ...]) -> str:
    """Return on what a figure with such sources rests at its weakest; empty when it is published.

    >>> basis_of(("NZ", "M")), basis_of(("own",)), basis_of(("NZ",))
    ('memory', 'own', '')
    """
    keys = set(sources)
    if sources == OWN:
        return "own"
    weakest = (("judgement", JUDGEMENT), ("memory", MEMORY), ("common", PRACTICE))
    return next((word for word, marks in weakest if marks & keys), "")


def figures_of(properties: dict) -> dict[str, Figure]:
    """Return the figures of a polymer's properties by name; the typical one also by the bare name.

    >>> sorted(figures_of({"melt-density": [0.73, 0.739, 0.75, "M-std"]}))
    ['melt-density', 'melt-density:high', 'melt-density:low']
    """
    found = {}
    for name, (low, typical, high, keys) in properties.items():
        sources = tuple(keys.split())
        for end, value in zip(ENDS, (low, typical, high), strict=True):
            found[name if end == "typical" else f"{name}:{end}"] = Figure(value, sources)
    return found
