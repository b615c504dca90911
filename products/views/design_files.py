"""A design as a file, a design from a file, and the schema that both follow."""

import json

from django.contrib import messages
from django.contrib.auth.decorators import login_not_required
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.utils.translation import gettext as _
from django.views.decorators.http import require_safe

from inventory.views.access import allows, attempt, page, reads
from products.actions.design_files import bring_design
from products.calculations.design_files import FORMAT, SCHEMAS
from products.forms.design_files import DesignFileForm
from products.models import Design
from products.queries.design_files import file_of

JSON, SCHEMA_JSON = "application/json", "application/schema+json"


@login_not_required
@require_safe
def schema(request, version=FORMAT):
    """Serve the schema of a version of a design's file to anybody."""
    return json_file(SCHEMAS[version], SCHEMA_JSON, f"{version}.schema.json")


@reads
def download(request, pk):
    designs = Design.objects.prefetch_related("polymers", "windows", "items__component", "joints")
    design = get_object_or_404(designs, pk=pk)
    return json_file(file_of(design), JSON, f"design-{design.pk}.json")


def json_file(document: dict, kind: str, name: str) -> HttpResponse:
    """Answer with a document as a file."""
    text = json.dumps(document, indent=1, ensure_ascii=False)
    response = HttpResponse(text, content_type=kind)
    response["Content-Disposition"] = f'attachment; filename="{name}"'
    response["X-Content-Type-Options"] = "nosniff"
    return response


@allows("design.edit")
def bring(request):
    form = DesignFileForm(request.POST or None, request.FILES or None)
    if form.is_valid():
        sent = {"document": form.read.document, "name": form.cleaned_data["name"]}
        design = attempt(form, bring_design, **sent, act=form.act(request.user))
        if design:
            told = _("%(name)s was brought in as a new design.")
            messages.success(request, told % {"name": design.name})
            return redirect(design)
    read = getattr(form, "read", None)
    kept = (
        json.dumps(read.document, ensure_ascii=False)
        if read and read.document and not read.faults
        else ""
    )
    context = {"place": "products", "faults": read.faults if read else [], "kept": kept}
    return page(request, "products/design_files/bring.html", context, form)
