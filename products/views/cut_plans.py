"""Cut plans: parts onto sheets, typed as an address; the picture and outlines of each sheet."""

from urllib.parse import parse_qsl

from django.http import Http404
from django.shortcuts import redirect
from django.utils.translation import gettext as _

from inventory.views.access import granted, page, reads
from products.calculations.cut_drawings import sheet_dxf, sheet_svg
from products.calculations.cut_plans import SawnSheet, codes_taken, mm
from products.forms.cut_plans import CutPlanForm
from products.queries.cut_plans import missing_said, sheets_said
from products.queries.sheet_stocks import codes_if_free, sheets_taken, stock_groups
from products.views.drawings import drawing, svg

FILL = "fill"


@reads
def create(request):
    asked = "kerf" in request.GET and FILL not in request.GET
    form = CutPlanForm(request.GET if asked else None, initial=filled_in(request.GET.dict()))
    context = {"place": "none", "groups": stock_groups(), "can": granted(request.user)}
    if asked and form.is_valid():
        address = f"{request.path}?{form.query()}"
        if form.is_of_now:  # the address of an answer is that of its sheets
            return redirect(f"{address}#answer")
        codes = codes_taken(form.plan)
        stock = sheets_taken(codes)
        context |= {
            "plan": form.plan,
            "missing": missing_said(form.plan),
            "figures": form.figures,
            "cut_m": mm(form.figures.cut_length_um // 1000),
            "sheets": sheets_said(form.plan),
            "query": form.query(),
            "address": address,
            "stock": stock,
            "taken": codes_if_free(stock, codes),
        }
    return page(request, "products/cut_plans/new.html", context, form)


def filled_in(typed: dict[str, str]) -> dict[str, str]:
    """Return what stands in the form at first: what was typed, and the sheets in stock that were tapped."""
    return typed | dict(parse_qsl(typed.get(FILL, ""), keep_blank_values=True))


@reads
def download(request, number, suffix):
    sheet = sheet_asked(request, number)
    name = f"sheet-{number}.{suffix}"
    if suffix == "dxf":
        return drawing(sheet_dxf(sheet), "application/dxf", name=name, download=True)
    return svg(sheet_svg(sheet), name=name, download="keep" in request.GET)


def sheet_asked(request, number: int) -> SawnSheet:
    """Return a sheet of the plan that the address describes, or raise Http404."""
    form = CutPlanForm(request.GET)
    if not form.is_valid() or not 1 <= number <= len(form.plan.sheets):
        raise Http404(_("There is no such sheet in this plan."))
    return form.plan.sheets[number - 1]
