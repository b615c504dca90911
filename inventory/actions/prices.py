"""The lead says in what money is counted, and what a delivery cost; nothing said before is changed."""

from datetime import date
from decimal import Decimal

from django.db import transaction
from django.utils.translation import gettext_lazy as _

from inventory.actions.acts import Act, earlier
from inventory.actions.changes import outcome_of, record_change
from inventory.actions.refusals import refusal
from inventory.calculations.currencies import CODES
from inventory.models import Currency, Delivery, Price
from inventory.queries.prices import currency_on

MOST_PER_KG = Decimal(1_000_000_000)
FIRST_DAY, LAST_DAY = date(2000, 1, 1), date(2199, 12, 31)


@transaction.atomic
def set_currency(*, code: str, holds_from: date, act: Act) -> Currency:
    """Let prices be in a currency from a day on; what was priced in another one is not converted.

    Refuses `unknown-currency` for what is no ISO 4217 code, and `day`. A repeated UUID changes nothing.
    """
    code = code.strip().upper()
    request = act.request("set currency", code=code, holds_from=holds_from)
    if done := earlier(act, request):
        return outcome_of(done, Currency)
    if code not in CODES:
        raise refusal(
            "unknown-currency", _("Write the currency as ISO 4217 does, such as EUR or INR.")
        )
    guard_day(holds_from)
    row = Currency.objects.create(
        code=code, holds_from=holds_from, note=act.reason, happened_at=act.at, by=act.by
    )
    record_change(act=act, subject=code, request=request, row=row)
    return row


@transaction.atomic
def set_price(*, delivery: Delivery, per_kg: Decimal | None, act: Act) -> Price:
    """Say what a kilogram of a delivery cost; 0 is a price, None says that nobody knows.

    It is in the currency of the day of the delivery. Refuses `refused-delivery`, `no-currency`
    and `absurd`. A repeated UUID changes nothing.
    """
    request = act.request("set price", delivery=delivery, per_kg=per_kg)
    if done := earlier(act, request):
        return outcome_of(done, Price)
    currency = guard_price(delivery, per_kg)
    row = Price.objects.create(
        delivery=delivery,
        per_kg=per_kg,
        currency=currency if per_kg is not None else "",
        note=act.reason,
        happened_at=act.at,
        by=act.by,
    )
    record_change(act=act, subject=delivery.code, request=request, row=row)
    return row


def guard_price(delivery: Delivery, per_kg: Decimal | None) -> str:
    """Return the currency of a delivery's day, or refuse a price that cannot be."""
    if delivery.refusal:
        raise refusal("refused-delivery", _("This delivery was turned away, so it cost nothing."))
    if per_kg is not None and not 0 <= per_kg <= MOST_PER_KG:
        raise refusal("absurd", _("Enter a price per kg of 0 or more; what is too much is a slip."))
    return currency_or_refuse(delivery.delivered_on)


def currency_or_refuse(day: date) -> str:
    """Return the currency of a day; refuses `no-currency` when none was set for it."""
    currency = currency_on(day)
    if not currency:
        raise refusal(
            "no-currency",
            _("No currency holds on that day yet; the lead sets one under More > Cost rates."),
        )
    return currency


def guard_day(holds_from: date) -> None:
    """Refuse `day` for one that no rate can begin on."""
    if not FIRST_DAY <= holds_from <= LAST_DAY:
        raise refusal("day", _("Choose a day between 2000 and 2199."))
