"""Scales: their list and the form of one."""

from django.contrib import messages
from django.shortcuts import get_object_or_404, redirect
from django.utils.translation import gettext as _

from inventory.actions.scales import save_scale
from inventory.forms.scales import ScaleFilter, ScaleForm
from inventory.models import Scale
from inventory.views.access import allows, attempt, granted, page, reads
from inventory.views.listings import Column, listing


@reads
def index(request):
    columns = [
        Column(_("Scale"), "name"),
        Column(_("Weighs at most"), "capacity", numeric=True),
        Column(_("Step"), "step", numeric=True),
        Column(_("State")),
    ]
    filters = ScaleFilter(request.GET, queryset=Scale.objects.order_by("name"))
    can = granted(request.user)
    context = listing(request, filters, columns, place="none") | {"can": can}
    context["rows"] = [(scale, can["scale_edit"]) for scale in context["page"]]
    return page(request, "inventory/scales/index.html", context)


@allows("scale.edit")
def create(request):
    return ask(request, None)


@allows("scale.edit")
def edit(request, pk):
    return ask(request, get_object_or_404(Scale, pk=pk))


def ask(request, scale):
    form = ScaleForm(request.POST or None, initial=ScaleForm.initial_of(scale) if scale else None)
    if form.is_valid():
        act, fields = form.act(request.user), form.fields_to_save()
        if saved := attempt(form, save_scale, fields=fields, act=act, scale=scale):
            messages.success(request, _("%(scale)s was saved.") % {"scale": saved})
            return redirect("inventory:scale-list")
    return page(request, "inventory/scales/edit.html", {"place": "none", "scale": scale}, form)
