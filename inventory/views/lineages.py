"""Receiving a lot of another workshop with the document that tells where it came from."""

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.utils.translation import gettext as _

from inventory.actions.acts import Act
from inventory.actions.lineages import bring_delivery
from inventory.calculations.epcis_terms import MEDIA_TYPE, MG_PER_KG
from inventory.forms.lineages import LineageForm, UploadForm, first_guess
from inventory.models import Delivery, Lineage, Polymer
from inventory.queries.lineages import Brought, brought_by, class_name, faults_told, strips_of
from inventory.views.access import allows, attempt, page, reads

SHOWN = 8


@allows("lineage.bring")
def bring(request):
    if request.POST.get("decision") == "accept" or request.POST.get("confirmed"):
        return receive(request)
    form = UploadForm(request.POST or None, request.FILES or None)
    if not form.is_valid():
        return upload_page(request, form)
    brought = brought_by(form.text(), form.cleaned_data["lot"])
    if brought.faults:
        return fault_page(request, form, brought)
    return receipt_page(request, brought, LineageForm(initial=first_guess(brought)))


def receive(request):
    """Accept the delivery as its form says, or show form and document again."""
    form = LineageForm(request.POST)
    brought = brought_by(request.POST.get("document", ""), request.POST.get("lot", ""))
    if brought.faults:
        return fault_page(request, UploadForm({"document": "-"}), brought)
    if form.is_valid():
        data = form.cleaned_data
        sent = {"receipt": form.receipt(), "bin": data["bin"], "act": form.act(request.user)}
        sent |= {"document": brought.document, "lot": data["lot"]}
        sent["is_confirmed"] = form.is_confirmed()
        if delivery := attempt(form, bring_delivery, **sent):
            messages.success(request, received_message(delivery, sent["act"]))
            return redirect(delivery)
    return receipt_page(request, brought, form)


def received_message(delivery: Delivery, act: Act) -> str:
    """Return the sentence that says what was received, or that all of it was here before."""
    told = _("%(number)s was received with where it came from.")
    if delivery.uuid != act.key:
        told = _("This lot was received before, just so, as %(number)s; nothing was added.")
    return told % {"number": delivery.number}


def upload_page(request, form, brought: Brought | None = None):
    """Show the choice of a file, and what was wrong with the last one."""
    context = {"place": "deliveries", "faults": brought.faults if brought else []}
    return page(request, "inventory/lineages/upload.html", context, form)


def fault_page(request, form, brought: Brought):
    """Show what is wrong with a document, with the places."""
    form.is_valid()
    form.add_error(None, faults_told(brought.faults[:1]))
    return upload_page(request, form, brought)


def receipt_page(request, brought: Brought, form):
    """Show what would be brought, and the form of the receipt."""
    beginnings = list(brought.lineage.beginnings.items())
    told_mg = round(brought.lineage.mass_mg or 0)
    context = {
        "place": "deliveries",
        "brought": brought,
        "strips": strips_of(brought.lineage, told_mg or MG_PER_KG),
        "told_mg": told_mg,
        "beginnings": [
            (each, class_name(each.origin_class), n / d) for each, (n, d) in beginnings[:SHOWN]
        ],
        "beginning_count": len(beginnings),
        "polymers": Polymer.objects.all(),
        "offers": form.offers(),
    }
    return page(request, "inventory/lineages/receive.html", context, form)


@reads
def document(request, code):
    lineage = get_object_or_404(Lineage, lot__code=code)
    response = HttpResponse(lineage.document, content_type=MEDIA_TYPE)
    response["Content-Disposition"] = f'attachment; filename="{code}-lineage.jsonld"'
    response["X-Content-Type-Options"] = "nosniff"
    return response
