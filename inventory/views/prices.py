"""What a delivery cost: its price, and every one it was given."""

from django.contrib import messages
from django.shortcuts import get_object_or_404, redirect
from django.utils.translation import gettext as _

from inventory.actions.prices import set_price
from inventory.calculations.currencies import price_text
from inventory.forms.deliveries import PriceForm
from inventory.models import Delivery, Price
from inventory.queries.deliveries import delivery_list
from inventory.queries.prices import currency_on, price_of, prices_of
from inventory.views.access import allows, attempt, granted, page, reads
from inventory.views.listings import paged


@reads
def index(request, code):
    delivery = get_object_or_404(delivery_list(), code=code)
    context = {"place": "deliveries", "delivery": delivery, "query": ""}
    context |= {"page": paged(request, prices_of(delivery)), "can": granted(request.user)}
    return page(request, "inventory/prices/index.html", context)


def written(price: Price | None) -> str:
    """Return a price as its box shows it, empty when nobody knows it."""
    is_known = price is not None and price.per_kg is not None
    return price_text(price.per_kg, price.currency) if is_known else ""


@allows("delivery.price")
def edit(request, code):
    delivery = get_object_or_404(Delivery, code=code)
    now = price_of(delivery)
    form = PriceForm(request.POST or None, initial={"per_kg": written(now)})
    if form.is_valid():
        act, per_kg = form.act(request.user), form.cleaned_data["per_kg"]
        if attempt(form, set_price, delivery=delivery, per_kg=per_kg, act=act):
            facts = {"number": delivery.number}
            messages.success(request, _("The price of %(number)s is written down.") % facts)
            return redirect(delivery)
    currency = currency_on(delivery.delivered_on)
    context = {"place": "deliveries", "delivery": delivery, "currency": currency}
    return page(request, "inventory/prices/edit.html", context, form)
