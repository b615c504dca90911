"""What the density of a plastic shows in a bath."""

from typing import Literal

MARGIN = 0.01


def float_or_sink(
    *, density_low: float, density_high: float, liquid_density: float, margin: float = MARGIN
) -> Literal["floats", "sinks", "unsure"]:
    """Tell whether a plastic floats or sinks, all densities in g/cm3.

    It floats when even its highest density lies below the liquid's by more than the
    margin, and sinks when even its lowest lies above by more than that. Anything
    between is unsure and says nothing about the polymer.

    The margin of 0.01 is common practice for painted or foamed scrap; 0.005
    is the least. Fillers, pigments, foam, trapped air and moisture move the density by
    more than the gaps between polymers, so the answer holds for the plain polymer
    only. Water at 23 C has 0.9975 g/cm3 (IAPWS-95), saturated brine at 20 C
    1.197 g/cm3 (NaCl solution density table, Torun physics laboratory).

    >>> float_or_sink(density_low=0.895, density_high=0.915, liquid_density=0.9975)
    'floats'
    >>> float_or_sink(density_low=1.20, density_high=1.24, liquid_density=1.197)
    'unsure'
    """
    if float(density_high) < float(liquid_density) - margin:
        return "floats"
    if float(density_low) > float(liquid_density) + margin:
        return "sinks"
    return "unsure"
