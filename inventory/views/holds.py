"""Holds: what is stopped and why, and the lifting of a hold."""

from django.contrib import messages
from django.shortcuts import get_object_or_404, redirect
from django.utils.translation import gettext as _

from inventory.actions.lots import lift_hold
from inventory.forms.fields import ReasonForm
from inventory.forms.holds import HoldFilter
from inventory.queries.lots import hold_list, lot_label
from inventory.views.access import allows, attempt, granted, page, reads
from inventory.views.listings import Column, listing


@reads
def index(request):
    columns = [
        Column(_("Lot")),
        Column(_("Why")),
        Column(_("Placed"), "placed"),
        Column(_("State")),
    ]
    filters = HoldFilter(request.GET, queryset=hold_list())
    context = listing(request, filters, columns, place="none")
    context["rows"] = [(each, lot_label(each.lot)) for each in context["page"]]
    return page(request, "inventory/holds/index.html", context)


@allows("hold.lift")
def lift(request, pk):
    hold = get_object_or_404(hold_list(), pk=pk)
    form = ReasonForm(request.POST or None)
    name = lot_label(hold.lot)
    if form.is_valid() and attempt(form, lift_hold, hold=hold, act=form.act(request.user)):
        messages.success(request, _("The hold on %(lot)s is lifted.") % {"lot": name})
        return redirect(hold.lot)
    context = {"place": "none", "hold": hold, "name": name, "can": granted(request.user)}
    return page(request, "inventory/holds/lift.html", context, form)
