"""Sources: their list, what came from each, and the form of one."""

from django.contrib import messages
from django.shortcuts import get_object_or_404, redirect
from django.urls import reverse
from django.utils.translation import gettext as _

from inventory.actions.sources import save_source
from inventory.forms.sources import SourceFilter, SourceForm
from inventory.models import Source
from inventory.queries.deliveries import delivery_list
from inventory.queries.sources import received_by_polymer, source_list
from inventory.views.access import allows, attempt, granted, page, reads
from inventory.views.listings import Column, listing, paged


@reads
def index(request):
    columns = [
        Column(_("Source"), "name"),
        Column(_("Role")),
        Column(_("Deliveries"), "deliveries", numeric=True),
        Column(_("Received"), "received", numeric=True),
        Column(_("Last"), "last"),
    ]
    filters = SourceFilter(request.GET, queryset=source_list())
    context = listing(request, filters, columns, place="none") | {"can": granted(request.user)}
    return page(request, "inventory/sources/index.html", context)


@reads
def detail(request, pk):
    source = get_object_or_404(source_list(), pk=pk)
    context = {
        "place": "none",
        "source": source,
        "received": received_by_polymer(source),
        "page": paged(request, delivery_list().filter(source=source)),
        "can": granted(request.user),
    }
    return page(request, "inventory/sources/detail.html", context)


@allows("source.edit")
def create(request):
    return ask(request, None)


@allows("source.edit")
def edit(request, pk):
    return ask(request, get_object_or_404(Source, pk=pk))


def ask(request, source):
    initial = SourceForm.initial_of(source) if source else None
    form = SourceForm(request.POST or None, initial=initial)
    if form.is_valid():
        act, fields = form.act(request.user), form.fields_to_save()
        if saved := attempt(form, save_source, fields=fields, act=act, source=source):
            messages.success(request, _("%(source)s was saved.") % {"source": saved})
            return redirect("inventory:source-detail", pk=saved.pk)
    back = (
        reverse("inventory:source-detail", args=[source.pk])
        if source
        else reverse("inventory:source-list")
    )
    context = {"place": "none", "source": source, "back": back}
    return page(request, "inventory/sources/edit.html", context, form)
