"""Shares as per cent, so that no rounding claims none or all of something."""

from decimal import ROUND_HALF_EVEN, Decimal

from inventory.queries.masses import localised

WHOLE = Decimal(100)
FLOAT_NOISE = Decimal("1e-10")  # of a per cent: what sums of floats may be off by


def percent_said(share: float | str, places: int = 1) -> str:
    """Return a share (0 to 1) as per cent with so many decimals; no rounding claims none or all of it."""
    least = Decimal(1).scaleb(-places)
    exact = (Decimal(float(share)) * WHOLE).quantize(FLOAT_NOISE)
    rounded = exact.quantize(least, rounding=ROUND_HALF_EVEN)
    if exact > 0 and not rounded:
        return f"< {localised(f'{least:f}', '%')}"
    if exact < WHOLE and rounded == WHOLE:
        return f"> {localised(f'{WHOLE - least:f}', '%')}"
    return localised(f"{rounded:f}", "%")
