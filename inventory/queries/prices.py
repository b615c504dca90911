"""Questions about money: which currency holds on a day, and what deliveries cost."""

from collections.abc import Iterable, Sequence
from datetime import date
from decimal import Decimal
from fractions import Fraction

from django.db.models import Max, QuerySet
from django.utils.translation import gettext as _

from inventory.calculations.currencies import money, price_text
from inventory.models import Currency, Delivery, Price
from inventory.queries.masses import localised
from inventory.queries.traces import batches

NO_BREAK, NOTHING = "\N{NO-BREAK SPACE}", "\N{EN DASH}"
Paid = tuple[Decimal, str]  # per kg, and the currency
Begun = tuple[date, str]  # from which day, and the code


def currencies_begun() -> list[Begun]:
    """Return from which day which currency holds, the latest first; one query."""
    return list(Currency.objects.values_list("holds_from", "code"))


def currency_of(begun: Sequence[Begun], day: date) -> str:
    """Return the code of the currency of a day, or an empty text."""
    return next((code for start, code in begun if start <= day), "")


def currency_on(day: date) -> str:
    """Return the code of the currency that holds on a day, or an empty text; one query."""
    rows = Currency.objects.filter(holds_from__lte=day)
    return rows.values_list("code", flat=True).first() or ""


def currency_list() -> QuerySet[Currency]:
    """Return every currency that was set, the latest day first."""
    return Currency.objects.select_related("by")


def prices_of(delivery: Delivery) -> QuerySet[Price]:
    """Return every price that a delivery was given, newest first."""
    return delivery.prices.select_related("by")


def price_of(delivery: Delivery) -> Price | None:
    """Return the price of a delivery that holds, or None when none was ever given."""
    return prices_of(delivery).first()


def paid_for(lots: Iterable[int]) -> dict[int, Paid]:
    """Return what lots of deliveries cost, by the key of the lot; those of unknown price are missing.

    One query for each ten thousand lots.
    """
    found = {}
    for some in batches(set(lots)):
        asked = Price.objects.filter(delivery__lot__in=some).order_by()
        newest = asked.values("delivery").annotate(newest=Max("pk")).values("newest")
        rows = Price.objects.filter(pk__in=newest, per_kg__isnull=False).order_by()
        for lot, per_kg, currency in rows.values_list("delivery__lot", "per_kg", "currency"):
            found[lot] = per_kg, currency
    return found


def price_said(amount: Decimal, unit: str) -> str:
    """Return a price or rate as it was typed, with the decimals of the currency that its unit begins with."""
    written = price_text(amount, unit.partition("/")[0])
    return localised(written, unit).replace(" ", NO_BREAK)


def money_said(amount: Fraction | None, currency: str, *, is_least: bool = False) -> str:
    """Return an amount in whole minor units with its currency, rounded here and nowhere before; unknown is a dash.

    What is told as "at least" is rounded down.
    """
    if amount is None or not currency:
        return NOTHING
    written = localised(f"{money(amount, currency, is_least=is_least):f}", currency)
    written = written.replace(" ", NO_BREAK)
    return _("at least %(amount)s") % {"amount": written} if is_least else written
