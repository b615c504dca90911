"""The stamp that marks a mould: chosen on a page, downloaded as SVG or DXF."""

from django.conf import settings
from django.http import Http404
from django.shortcuts import get_object_or_404
from django.utils import timezone

from inventory.views.access import page, reads
from products.calculations.stamps import stamp_dxf, stamp_svg
from products.forms.stamps import StampForm
from products.models import Design
from products.queries.designs import design_list
from products.queries.marks import marking_of_design
from products.views.drawings import drawing, svg


@reads
def detail(request, pk):
    design = get_object_or_404(design_list(), pk=pk)
    marks = [each.text for each in marking_of_design(design).markings if each.text]
    asked = "mark" in request.GET
    form = StampForm(request.GET if asked else None, initial=first_of(request, marks))
    context = {
        "place": "products",
        "design": design,
        "marks": marks,
        "stamp": form.stamp if asked and form.is_valid() else None,
        "query": request.GET.urlencode(),
    }
    return page(request, "products/stamps/detail.html", context, form)


def first_of(request, marks: list[str]) -> dict:
    """Return what the form shows at first: the design's mark, this month, this workshop, a tool asked for."""
    return {
        "mark": marks[0] if marks else "",
        "month": timezone.localdate(),
        "workshop": settings.WORKSHOP_NAME[:40],
        "tool": request.GET.get("tool", "")[:40],
    }


@reads
def download(request, pk, suffix):
    design = get_object_or_404(Design, pk=pk)
    form = StampForm(request.GET)
    if not form.is_valid():
        raise Http404
    strokes = form.stamp.polylines
    name = f"stamp-{design.name}.{suffix}"
    if suffix == "dxf":
        return drawing(stamp_dxf(strokes), "application/dxf", name=name, download=True)
    return svg(stamp_svg(strokes), name=name, download="keep" in request.GET)
