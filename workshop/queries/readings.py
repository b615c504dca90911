"""Questions about readings: what is read in a run, within which window, and what was read last."""

from dataclasses import dataclass
from decimal import Decimal

from inventory.models import Blend, Polymer
from products.calculations.quantities import QUANTITIES, READ_IN, place_in_window
from products.models import Quantity
from workshop.models import Reading, Run


@dataclass(frozen=True)
class Gauge:
    """A quantity that is read in a run: its window and where that comes from, and the fume ceiling in °C."""

    quantity: Quantity
    low: Decimal | None = None
    high: Decimal | None = None
    window_from: str = ""
    source: str = ""
    polymer: Polymer | None = None
    fume_above_c: int | None = None
    last: Reading | None = None

    def is_above_fume(self, value: Decimal) -> bool:
        """Return whether a value lies above the temperature at which the polymer gives off fumes."""
        return self.fume_above_c is not None and value > self.fume_above_c

    def place_of(self, value: Decimal) -> str:
        """Return whether a value lies in the window, above or below it; empty without one."""
        return place_in_window(value, self.low, self.high)


def quantities_of(run: Run) -> tuple[str, ...]:
    """Return what is read in a run, in the order in which it is looked at."""
    return READ_IN[run.operation]


def polymer_of(run: Run) -> Polymer | None:
    """Return the polymer in the machine: that of the newest charge, else the only one of the design."""
    charge = run.charges.select_related("lot__polymer").order_by("number").last()
    if charge:
        return charge.lot.polymer
    allowed = list(run.design.polymers.all()[:2]) if run.design else []
    return allowed[0] if len(allowed) == 1 else None


def fume_ceiling_c(polymer: Polymer | None) -> int | None:
    """Return above how many °C a polymer gives off fumes; a blend has the lower of its two."""
    if polymer is None:
        return None
    blend = Blend.objects.select_related("main", "added").filter(result=polymer).first()
    parts = [polymer, blend.main, blend.added] if blend else [polymer]
    ceilings = [part.fume_above_c for part in parts if part.fume_above_c]
    return min(ceilings, default=None)


def gauges_of(run: Run) -> list[Gauge]:
    """Return all that is read in a run, each with its window and its last reading; few queries."""
    polymer, last = polymer_of(run), last_readings(run)
    windows = {row.quantity: row for row in run.design.windows.all()} if run.design else {}
    ceiling_c = fume_ceiling_c(polymer)
    return [
        gauge(run, Quantity(name), windows.get(name), polymer, ceiling_c, last.get(name))
        for name in quantities_of(run)
    ]


def gauge_of(run: Run, quantity: str) -> Gauge:
    """Return one quantity that is read in a run."""
    return next(each for each in gauges_of(run) if each.quantity == quantity)


def gauge(run, quantity, window, polymer, ceiling_c, last) -> Gauge:  # noqa: PLR0913, PLR0917 (one row of the list)
    """Return a quantity with the design's window, or else the usual one of the polymer."""
    heat = {"polymer": polymer, "fume_above_c": ceiling_c}
    fields = {"quantity": quantity, "last": last}
    fields |= heat if QUANTITIES[quantity].is_heat else {}
    if window:
        fields |= {"low": window.low, "high": window.high}
        return Gauge(**fields, window_from=Reading.WindowFrom.DESIGN, source=run.design.name)
    usual = polymer.windows.get(f"{run.operation}-{quantity}") if polymer else None
    if usual:
        low, high, key = usual
        fields |= {"low": Decimal(low), "high": Decimal(high)}
        fields |= {"window_from": Reading.WindowFrom.POLYMER, "source": f"{polymer}, {key}"}
    return Gauge(**fields)


def last_readings(run: Run) -> dict[str, Reading]:
    """Return the newest reading of each quantity of a run."""
    rows = run.readings.select_related("by", "polymer").in_order()
    return {row.quantity: row for row in rows}
