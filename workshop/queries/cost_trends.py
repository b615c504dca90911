"""What runs of one design took and cost in a period, month by month; nobody's name is read for it."""

from dataclasses import dataclass
from datetime import date, timedelta

from django.db.models import Count
from django.utils import timezone
from django.utils.timezone import localdate, localtime

from inventory.calculations.currencies import money, rounded
from inventory.calculations.periods import Period, Step
from inventory.queries.flows import midnight
from products.models import Design
from workshop.calculations.cost_trends import (
    COST,
    FIGURES,
    RunPoint,
    Saving,
    Savings,
    TrendRow,
    savings,
    trend_row,
)
from workshop.models import Run, Yield
from workshop.queries.run_costs import RunAccount, run_accounts

MOST_RUNS = 1000
DIGITS = 6  # of what is not money, where programs read it


@dataclass(frozen=True)
class CostTrend:
    """The figures of a design by month and over all of it, what it would save, and in which currency.

    `other_currency` runs are left out, for nothing is converted; `is_cut` when only the newest runs are in it.
    """

    runs: int
    currency: str
    other_currency: int
    is_cut: bool
    rows: dict[str, list[tuple[Step, TrendRow]]]
    whole: dict[str, TrendRow]
    savings: Savings


def figure_text(name: str, value, currency: str) -> str | None:
    """Return a figure as programs read it: money in minor units of its currency; None when it is not known."""
    if value is None:
        return None
    return f"{money(value, currency) if name == COST else rounded(value, DIGITS):f}"


def saving_text(saving: Saving, currency: str) -> str:
    """Return what a year would save in minor units; rounded down where it is told as "at least"."""
    return f"{money(saving.amount, currency, is_least=saving.is_least):f}"


def designs_with_runs(period: Period) -> list[tuple[Design, int]]:
    """Return the designs of which runs were closed in a period, with how many, by name; two queries."""
    rows = closed_in(period).filter(design__isnull=False).order_by().values_list("design")
    counts = dict(rows.annotate(runs=Count("pk")))
    return [(design, counts[design.pk]) for design in Design.objects.filter(pk__in=counts)]


def closed_in(period: Period):
    """Return the runs that were closed in a period, without those abandoned."""
    return Run.objects.filter(
        closed_at__gte=midnight(period.start),
        closed_at__lt=midnight(period.end),
        is_abandoned=False,
    )


def cost_trend(design: Design, period: Period) -> CostTrend:
    """Return the figures of a design's runs that were closed in a period, in fifteen queries for any number."""
    runs = closed_in(period).filter(design=design).order_by("-closed_at", "-pk")
    accounts = run_accounts(runs[: MOST_RUNS + 1], timezone.now())
    is_cut = len(accounts) > MOST_RUNS
    accounts = accounts[:MOST_RUNS]
    currency = accounts[0].cost.currency if accounts else ""
    same = [each for each in accounts if each.cost.currency == currency]
    points = [(localtime(each.run.closed_at).date(), point_of(each)) for each in same]
    oldest = points[-1][0] if is_cut else period.start
    rows = {}
    for name in FIGURES:
        found = [
            (step, trend_row([p for day, p in points if step.start <= day < step.end], name))
            for step in period.steps
        ]
        rows[name] = [(step, row) for step, row in found if row]
    return CostTrend(
        runs=len(same),
        currency=currency,
        other_currency=len(accounts) - len(same),
        is_cut=is_cut,
        rows=rows,
        whole={name: trend_row([p for _day, p in points], name) for name in FIGURES},
        savings=savings([point for _day, point in points], days_of(period, oldest)),
    )


def point_of(account: RunAccount) -> RunPoint:
    """Return one run as the trend counts it."""
    return RunPoint(
        worked_ms=account.time.worked_ms,
        kwh=account.energy.kwh,
        cost=account.cost,
        rates=account.rates,
        loaded_mg=account.given.loaded_mg,
        offcut_mg=account.given.by_kind.get(Yield.Kind.OFFCUT, 0),
    )


def days_of(period: Period, oldest: date) -> int:
    """Return over how many days the runs lie: from the oldest day that is shown to the end, or to today."""
    end = min(period.end, localdate() + timedelta(days=1))
    return max(1, (end - max(oldest, period.start)).days)
