"""Deliveries: their list, the form at the gate, the page and the photo of each."""

from dataclasses import replace

from django.contrib import messages
from django.http import FileResponse, Http404
from django.shortcuts import get_object_or_404, redirect
from django.utils.timezone import localdate
from django.utils.translation import gettext as _

from inventory.actions.deliveries import receive_delivery, refuse_delivery
from inventory.forms.deliveries import DeliveryFilter, DeliveryForm
from inventory.models import Delivery, Polymer
from inventory.queries.deliveries import delivery_list, put_into_bins
from inventory.queries.lineages import lineage_kept
from inventory.queries.prices import currency_on, price_of
from inventory.templatetags.quantities import bulk
from inventory.views.access import allows, attempt, granted, page, reads
from inventory.views.listings import Column, listing


@reads
def index(request):
    columns = [
        Column(_("Delivery")),
        Column(_("Day"), "day"),
        Column(_("From"), "source"),
        Column(_("Material")),
        Column(_("Net"), "net", numeric=True),
        Column(_("State")),
    ]
    filters = DeliveryFilter(request.GET, queryset=delivery_list())
    context = listing(request, filters, columns, place="deliveries")
    context["can"] = granted(request.user)
    return page(request, "inventory/deliveries/index.html", context)


@allows("delivery.receive")
def create(request):
    start = {"source": request.GET.get("source"), "bin": request.GET.get("bin")}
    form = DeliveryForm(request.POST or None, request.FILES or None, initial=start)
    if form.is_valid():
        if delivery := decide(request, form):
            messages.success(request, f"{form.spelling_note} {told(delivery)}".strip())
            return redirect(delivery)
        form.ask_for_photo_again()
    names = {"polymers": Polymer.objects.all(), "offers": form.offers()}
    context = {"place": "deliveries", "can": granted(request.user)} | names
    context["currency"] = currency_on(localdate())
    return page(request, "inventory/deliveries/create.html", context, form)


def decide(request, form) -> Delivery | None:
    """Accept or refuse, as the button that was pressed says."""
    act, receipt = form.act(request.user), form.receipt()
    if request.POST.get("decision") == "refuse":
        return attempt(form, refuse_delivery, receipt=receipt, act=act)
    act, bin = replace(act, reason=""), form.cleaned_data["bin"]
    sent = {"receipt": receipt, "bin": bin, "per_kg": form.cleaned_data["per_kg"]}
    sent["is_confirmed"] = form.is_confirmed()
    return attempt(form, receive_delivery, act=act, **sent)


def told(delivery: Delivery) -> str:
    """Return the sentence that says what became of a delivery."""
    facts = {"number": delivery.number, "mass": bulk(delivery.net_mg, 3), "source": delivery.source}
    if delivery.refusal:
        return _("%(number)s from %(source)s was refused; it stays on record.") % facts
    received = _("%(mass)s from %(source)s received as %(number)s.") % facts
    hold = delivery.lot.holds.open().first()
    if hold is None:
        return received
    return f"{received} {_('On hold: %(reason)s Set it apart.') % {'reason': hold.reason}}"


@reads
def detail(request, code):
    delivery = get_object_or_404(delivery_list(), code=code)
    holds = delivery.lot.holds.select_related("placed_by", "lifted_by") if delivery.lot else []
    context = {"place": "deliveries", "delivery": delivery, "lot": delivery.lot, "holds": holds}
    context["can"] = granted(request.user)
    context["moves"] = put_into_bins(delivery.lot) if delivery.lot else []
    context["lineage"] = lineage_kept(delivery.lot) if delivery.lot else None
    context["price"] = price_of(delivery)
    return page(request, "inventory/deliveries/detail.html", context)


@reads
def photo(request, code):
    delivery = get_object_or_404(Delivery, code=code)
    if not delivery.photo or not delivery.photo.storage.exists(delivery.photo.name):
        raise Http404
    response = FileResponse(delivery.photo.open("rb"), content_type="image/jpeg")
    response["X-Content-Type-Options"] = "nosniff"
    response["Cache-Control"] = "private, max-age=86400"
    response["Content-Security-Policy"] = "default-src 'none'; sandbox"
    return response
