"""Questions about readings: what is read in a run, within which window, and what was read last."""

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal

from inventory.models import Blend, Polymer
from inventory.queries.own_figures import (
    Own,
    ceiling_of,
    own_by_polymer,
    own_ceiling,
    own_of,
    since_said,
    window_of,
)
from products.calculations.quantities import QUANTITIES, READ_IN, place_in_window
from products.models import Quantity
from products.queries.sentences import basis_said
from workshop.models import Reading, Run


@dataclass(frozen=True)
class Gauge:
    """A quantity that is read in a run: its window and where that comes from, and the fume ceiling in °C."""

    quantity: Quantity
    low: Decimal | None = None
    high: Decimal | None = None
    window_from: str = ""
    source: str = ""
    keys: str = ""
    polymer: Polymer | None = None
    fume_above_c: int | None = None
    fume_source: str = ""
    last: Reading | None = None

    @property
    def source_said(self) -> str:
        """Where the window comes from, for people: the keys of published sources in words."""
        if not self.keys:
            return self.source
        return self.source.removesuffix(self.keys) + basis_said(self.keys)

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


@dataclass(frozen=True)
class Ceiling:
    """Above how many °C a polymer gives off fumes; `source` says so when that is the workshop's own figure."""

    c: int | None = None
    source: str = ""


def fume_ceiling(polymer: Polymer | None) -> Ceiling:
    """Return the fume ceiling that holds for a polymer; a blend has the lowest of it and its two."""
    return fume_ceilings([polymer])[polymer] if polymer else Ceiling()


def fume_ceilings(polymers: Iterable[Polymer]) -> dict[Polymer, Ceiling]:
    """Return the fume ceilings that hold for some polymers, in two queries however many."""
    parts = {polymer: [polymer] for polymer in polymers}
    for blend in Blend.objects.select_related("result", "main", "added").filter(result__in=parts):
        parts[blend.result] += [blend.main, blend.added]
    own = own_by_polymer({part for each in parts.values() for part in each})
    return {
        polymer: lowest([ceiling_with_source(part, own.get(part.pk, {})) for part in each])
        for polymer, each in parts.items()
    }


def lowest(ceilings: list[Ceiling]) -> Ceiling:
    """Return the lowest of some ceilings, none where none is known."""
    return min((each for each in ceilings if each.c), key=lambda each: each.c, default=Ceiling())


def ceiling_with_source(polymer: Polymer, own: Own) -> Ceiling:
    """Return the ceiling of one polymer, whose own figures are at hand."""
    row = own_ceiling(polymer, own)
    return Ceiling(ceiling_of(polymer, own), since_said(row) if row else "")


def fume_ceiling_c(polymer: Polymer | None) -> int | None:
    """Return above how many °C a polymer gives off fumes."""
    return fume_ceiling(polymer).c


@dataclass(frozen=True)
class Heat:
    """The polymer in a machine, the figures of it that are the workshop's own, and its fume ceiling."""

    polymer: Polymer | None
    own: Own
    ceiling: Ceiling

    @property
    def fields(self) -> dict:
        """Return what a gauge of a temperature has of it."""
        facts = {"fume_above_c": self.ceiling.c, "fume_source": self.ceiling.source}
        return {"polymer": self.polymer} | facts


def gauges_of(run: Run) -> list[Gauge]:
    """Return all that is read in a run, each with its window and its last reading; few queries."""
    polymer, last = polymer_of(run), last_readings(run)
    windows = {row.quantity: row for row in run.design.windows.all()} if run.design else {}
    heat = Heat(polymer, own_of(polymer) if polymer else {}, fume_ceiling(polymer))
    return [
        gauge(run, Quantity(name), windows.get(name), heat, last.get(name))
        for name in quantities_of(run)
    ]


def gauge_of(run: Run, quantity: str) -> Gauge:
    """Return one quantity that is read in a run."""
    return next(each for each in gauges_of(run) if each.quantity == quantity)


def gauge(run, quantity, window, heat: Heat, last) -> Gauge:
    """Return a quantity with the design's window, or else the workshop's own or usual one of the polymer."""
    fields = {"quantity": quantity, "last": last}
    fields |= heat.fields if QUANTITIES[quantity].is_heat else {}
    if window:
        fields |= {"low": window.low, "high": window.high}
        return Gauge(**fields, window_from=Reading.WindowFrom.DESIGN, source=run.design.name)
    name = f"{run.operation}-{quantity}"
    usual = window_of(heat.polymer, heat.own, name) if heat.polymer else None
    if usual:
        low, high, source = usual
        fields |= {"low": low, "high": high, "keys": "" if name in heat.own else source}
        fields |= {"window_from": Reading.WindowFrom.POLYMER}
        fields |= {"source": f"{heat.polymer}, {source}"}
    return Gauge(**fields)


def last_readings(run: Run) -> dict[str, Reading]:
    """Return the newest reading of each quantity of a run."""
    rows = run.readings.select_related("by", "polymer").in_order()
    return {row.quantity: row for row in rows}
