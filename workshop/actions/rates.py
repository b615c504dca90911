"""The lead says what an hour, a kilowatt-hour, a machine or tooling costs, and from which day."""

from datetime import date
from decimal import Decimal

from django.db import transaction
from django.utils.translation import gettext_lazy as _

from inventory.actions.acts import Act, earlier
from inventory.actions.changes import outcome_of, record_change
from inventory.actions.prices import currency_or_refuse, guard_day
from inventory.actions.refusals import refusal
from workshop.calculations.rates import MACHINE, RATES, TOOLING, WORKSHOP, fault_of
from workshop.models import Machine, Rate, Tooling


@transaction.atomic
def set_rate(
    *,
    name: str,
    amount: Decimal | None,
    holds_from: date,
    act: Act,
    thing: Machine | Tooling | None = None,
) -> Rate:
    """Let a rate hold from a day on; None says that from then on nobody knows it.

    Money is in the currency of that day. Refuses `wrong-thing` for a rate of something else, `absurd`,
    `no-currency` and `day`. A repeated UUID changes nothing.
    """
    request = act.request(
        "set rate", rate=name, thing=thing, key=thing and thing.pk, amount=amount, since=holds_from
    )
    if done := earlier(act, request):
        return outcome_of(done, Rate)
    guard_rate(name, amount, thing)
    guard_day(holds_from)
    is_money = RATES[name].is_money and amount is not None
    row = Rate.objects.create(
        name=name,
        machine=thing if isinstance(thing, Machine) else None,
        tooling=thing if isinstance(thing, Tooling) else None,
        amount=amount,
        currency=currency_or_refuse(holds_from) if is_money else "",
        holds_from=holds_from,
        note=act.reason,
        happened_at=act.at,
        by=act.by,
    )
    record_change(act=act, subject=str(thing or name), request=request, row=row)
    return row


def guard_rate(name: str, amount: Decimal | None, thing: Machine | Tooling | None) -> None:
    """Refuse a rate of the wrong thing, and an amount that it cannot be."""
    kinds = {WORKSHOP: type(None), MACHINE: Machine, TOOLING: Tooling}
    if not isinstance(thing, kinds[RATES[name].of]):
        raise refusal("wrong-thing", _("This rate is one of something else; choose its page."))
    if amount is not None and fault_of(name, amount):
        rule = RATES[name]
        raise refusal(
            "absurd",
            _("It lies between %(least)s and %(most)s %(unit)s; look at it again."),
            least=f"{rule.least:f}",
            most=f"{rule.most:f}",
            unit="" if rule.is_money else rule.unit,
        )
