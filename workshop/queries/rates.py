"""Questions about what an hour, a kilowatt-hour, machines and tooling cost."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from django.db.models import F, QuerySet
from django.db.models.functions import Coalesce

from inventory.calculations.currencies import price_text
from inventory.queries.prices import Begun, currencies_begun, currency_of
from workshop.calculations.rates import (
    MACHINE,
    RATES,
    TOOLING,
    USUAL_LOAD_PERCENT,
    WORKSHOP,
    Rates,
    SetRate,
    holding,
    rates_of,
)
from workshop.models import Machine, Rate, Tooling

FIELDS = ("name", "thing", "amount", "currency", "holds_from", "pk")


def set_rates() -> list[SetRate]:
    """Return every rate as it was set, in one query; they are few, for only the lead sets them."""
    rows = Rate.objects.annotate(thing=Coalesce(F("machine"), F("tooling"))).order_by()
    return [SetRate(*row) for row in rows.values_list(*FIELDS)]


@dataclass(frozen=True)
class RateBook:
    """All rates and currencies that were ever set, to ask for those of many days."""

    rows: Sequence[SetRate]
    begun: Sequence[Begun]

    def on(self, day: date, machine: Machine, tooling: Tooling | None = None) -> Rates:
        """Return what a run of a day on a machine with tooling costs by."""
        return rates_of(
            holding(self.rows, day),
            currency_of(self.begun, day),
            machine=(machine.pk, machine.kind),
            tooling=tooling.pk if tooling else None,
        )


def rate_book() -> RateBook:
    """Return all rates and currencies, in two queries."""
    return RateBook(set_rates(), currencies_begun())


def rate_list() -> QuerySet[Rate]:
    """Return every rate that was set, newest first."""
    return Rate.objects.select_related("machine", "tooling", "by")


@dataclass(frozen=True)
class RateLine:
    """One rate as it holds: what it is about, the row that holds, and the currency of the day."""

    name: str
    thing: Machine | Tooling | None
    held: SetRate | None
    currency: str

    @property
    def label(self):
        """What it is called."""
        return Rate.Name(self.name).label

    @property
    def is_money(self) -> bool:
        """Whether it is an amount of money."""
        return RATES[self.name].is_money

    @property
    def amount(self):
        """What holds, or None; money in another currency than that of the day holds no more."""
        if self.held is None or (self.is_money and self.held.currency != self.currency):
            return None
        return self.held.amount

    @property
    def written(self) -> str | Decimal | None:
        """What holds as a box shows it: money with the decimals of its currency."""
        amount = self.amount
        return amount if amount is None or not self.is_money else price_text(amount, self.currency)

    @property
    def unit(self) -> str:
        """Its unit, with the currency where it is money."""
        unit = RATES[self.name].unit
        if not self.is_money:
            return unit
        return f"{self.currency}/{unit}" if unit else self.currency

    @property
    def usual_percent(self) -> int | None:
        """The usual share of load, where the workshop has said none."""
        is_asked = self.name == "load" and self.amount is None
        return USUAL_LOAD_PERCENT[self.thing.kind] if is_asked else None


@dataclass(frozen=True)
class RateBoard:
    """What holds on a day: of the workshop, and of each machine and all tooling."""

    currency: str
    workshop: list[RateLine]
    machines: list[tuple[Machine, list[RateLine]]]
    tooling: list[tuple[Tooling, list[RateLine]]]


def rate_board(day: date) -> RateBoard:
    """Return what holds on a day, in four queries."""
    book = rate_book()
    currency, held = currency_of(book.begun, day), holding(book.rows, day)

    def lines(of: str, thing=None) -> list[RateLine]:
        key = thing.pk if thing else None
        names = [name for name, rule in RATES.items() if rule.of == of]
        return [RateLine(name, thing, held.get((name, key)), currency) for name in names]

    machines, tooling = Machine.objects.filter(retired_at=None), Tooling.objects.all()
    return RateBoard(
        currency=currency,
        workshop=lines(WORKSHOP),
        machines=[(machine, lines(MACHINE, machine)) for machine in machines],
        tooling=[(tool, lines(TOOLING, tool)) for tool in tooling],
    )
