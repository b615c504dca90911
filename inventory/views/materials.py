"""Polymers as reference data, and the blends that the lead allows."""

from django.contrib import messages
from django.shortcuts import redirect
from django.utils.translation import gettext as _

from inventory.actions.materials import switch_blend
from inventory.forms.materials import BlendForm, PolymerFilter
from inventory.queries.materials import blend_list, polymer_list
from inventory.views.access import allows, attempt, granted, page, reads
from inventory.views.listings import listing


@reads
def index(request):
    filters = PolymerFilter(request.GET, queryset=polymer_list())
    context = listing(request, filters, place="none") | {"can": granted(request.user)}
    return page(request, "inventory/materials/index.html", context)


@allows("blend.switch")
def switch(request):
    start = {"main": request.GET.get("main"), "added": request.GET.get("added")}
    form = BlendForm(request.POST or None, initial=start)
    if form.is_valid():
        blend = attempt(form, switch_blend, act=form.act(request.user), **form.pair())
        if blend:
            word = _("allowed") if blend.is_on else _("not allowed any more")
            facts = {"blend": blend.result.symbol, "word": word}
            messages.success(request, _("The blend %(blend)s is %(word)s.") % facts)
            return redirect("inventory:polymer-list")
    context = {"place": "none", "blends": blend_list()}
    return page(request, "inventory/materials/switch.html", context, form)
