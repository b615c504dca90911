"""What things cost in a small workshop: euros, and rates that are easy to reckon with."""

from datetime import date
from decimal import Decimal

from inventory.actions.prices import set_currency, set_price
from inventory.models import Delivery
from tests.factories.inventory import make_act
from workshop.actions.rates import set_rate

LONG_AGO = date(2020, 1, 1)


def set_euro(by, since=LONG_AGO, code="EUR"):
    """Let prices be in euros, from long ago on."""
    return set_currency(code=code, holds_from=since, act=make_act(by))


def put_rate(by, name, amount, thing=None, since=LONG_AGO, act=None):
    """Set a rate, from long ago on."""
    amount = None if amount is None else Decimal(str(amount))
    return set_rate(
        name=name, amount=amount, holds_from=since, thing=thing, act=act or make_act(by)
    )


def put_price(by, lot_or_delivery, per_kg, act=None):
    """Say what a kilogram of a delivery cost."""
    is_delivery = isinstance(lot_or_delivery, Delivery)
    delivery = lot_or_delivery if is_delivery else lot_or_delivery.delivery
    per_kg = None if per_kg is None else Decimal(str(per_kg))
    return set_price(delivery=delivery, per_kg=per_kg, act=act or make_act(by))
