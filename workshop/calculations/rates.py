"""What an hour, a kilowatt-hour, a machine and tooling cost, and which of it holds on a day.

Amounts are exact (`Decimal`, `Fraction`) and never floats.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from fractions import Fraction

WORKSHOP, MACHINE, TOOLING = "workshop", "machine", "tooling"
WHOLE = 100


@dataclass(frozen=True)
class Rule:
    """What a rate is about, its unit, the least and the most it can be; money is told in a currency."""

    of: str
    unit: str
    least: Decimal
    most: Decimal
    is_money: bool = False


MOST_MONEY = Decimal(1_000_000_000)


def money_rule(of: str, unit: str) -> Rule:
    """Return the rule of an amount of money, per unit where there is one."""
    return Rule(of, unit, Decimal(0), MOST_MONEY, is_money=True)


RATES = {
    "labour": money_rule(WORKSHOP, "h"),
    "electricity": money_rule(WORKSHOP, "kWh"),
    "power": Rule(MACHINE, "W", Decimal(1), Decimal(1_000_000)),
    "load": Rule(MACHINE, "%", Decimal(1), Decimal(100)),
    "machine-hour": money_rule(MACHINE, "h"),
    "tooling-price": money_rule(TOOLING, ""),
    "tooling-cycles": Rule(TOOLING, "", Decimal(1), Decimal(1_000_000_000)),
}
# Average share of the rated power that is drawn over the time worked. Judgement: no source was
# found for small machines; thermostats switch, and motors idle between feeds.
USUAL_LOAD_PERCENT = {
    "granulator": 50,
    "blender": 60,
    "press": 50,
    "injection": 50,
    "extruder": 60,
    "cutter": 30,
    "forming": 50,
    "oven": 50,
}


@dataclass(frozen=True)
class SetRate:
    """One rate as it was set: from which day it holds; the key orders those of one day."""

    name: str
    thing: int | None
    amount: Decimal | None
    currency: str
    holds_from: date
    key: int


@dataclass(frozen=True)
class Rates:
    """What one run costs by; what nobody said is None. Money in the currency, power in W."""

    currency: str
    labour_per_h: Fraction | None = None
    per_kwh: Fraction | None = None
    power_w: Fraction | None = None
    load_share: Fraction | None = None
    is_usual_load: bool = False
    machine_per_h: Fraction | None = None
    tooling_price: Fraction | None = None
    tooling_cycles: Fraction | None = None

    @property
    def tooling_per_cycle(self) -> Fraction | None:
        """The share of its price that a cycle of the tooling uses up: price / expected cycles."""
        if self.tooling_price is None or not self.tooling_cycles:
            return None
        return self.tooling_price / self.tooling_cycles

    @property
    def drawn_kw(self) -> Fraction | None:
        """What the machine draws on average, in kW: rated power times its share of load."""
        if self.power_w is None or self.load_share is None:
            return None
        return self.power_w * self.load_share / 1000


def fault_of(name: str, amount: Decimal) -> str:
    """Return why an amount cannot be such a rate, as a code; empty when it can.

    >>> fault_of("load", Decimal(101)), fault_of("tooling-cycles", Decimal("0.5"))
    ('absurd', 'absurd')
    """
    rule = RATES[name]
    is_whole = name != "tooling-cycles" or amount == amount.to_integral_value()
    return "" if rule.least <= amount <= rule.most and is_whole else "absurd"


def holding(rows: Iterable[SetRate], day: date) -> dict[tuple[str, int | None], SetRate]:
    """Return which rate of each name and thing holds on a day: of those begun the latest, then the newest.

    >>> old = SetRate("labour", None, Decimal(18), "EUR", date(2026, 1, 1), 1)
    >>> new = SetRate("labour", None, Decimal(20), "EUR", date(2026, 7, 1), 2)
    >>> holding([new, old], date(2026, 6, 30))["labour", None].amount
    Decimal('18')
    """
    found = {}
    for row in sorted(rows, key=lambda row: (row.holds_from, row.key)):
        if row.holds_from <= day:
            found[row.name, row.thing] = row
    return found


def rates_of(
    held: Mapping[tuple[str, int | None], SetRate],
    currency: str,
    *,
    machine: tuple[int, str],
    tooling: int | None,
) -> Rates:
    """Return what a run on a machine (key and kind) with tooling costs by.

    Money in another currency than that of the day is not known: nothing is converted.
    """

    def amount(name: str, thing: int | None) -> Fraction | None:
        row = held.get((name, thing))
        if row is None or row.amount is None:
            return None
        is_other = RATES[name].is_money and row.currency != currency
        return None if is_other else Fraction(row.amount)

    key, kind = machine
    load = amount("load", key)
    usual = Fraction(USUAL_LOAD_PERCENT[kind])
    return Rates(
        currency=currency,
        labour_per_h=amount("labour", None),
        per_kwh=amount("electricity", None),
        power_w=amount("power", key),
        load_share=(usual if load is None else load) / WHOLE,
        is_usual_load=load is None,
        machine_per_h=amount("machine-hour", key),
        tooling_price=amount("tooling-price", tooling) if tooling else None,
        tooling_cycles=amount("tooling-cycles", tooling) if tooling else None,
    )
