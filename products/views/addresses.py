"""The address in printed codes, and moving it."""

from django.contrib import messages
from django.shortcuts import redirect
from django.utils.translation import gettext as _

from inventory.views.access import allows, attempt, page
from products.actions.addresses import move_address
from products.forms.labels import AddressForm
from products.models import PrintedAddress
from products.queries.addresses import frozen_address, set_address


@allows("address.move")
def move(request):
    form = AddressForm(request.POST or None, initial={"site_url": set_address()})
    if form.is_valid():
        act, site_url = form.act(request.user), form.cleaned_data["site_url"]
        if moved := attempt(form, move_address, site_url=site_url, act=act):
            messages.success(request, _("Codes carry %(url)s from now on.") % {"url": moved})
            return redirect("products:label-list")
    context = {
        "place": "none",
        "frozen": frozen_address(),
        "set_address": set_address(),
        "before": PrintedAddress.objects.select_related("by")[:20],
    }
    return page(request, "products/labels/address.html", context, form)
