"""Cut plans: parts onto sheets, typed as an address; the picture and outlines of each sheet."""

from django.http import Http404
from django.utils.translation import gettext as _

from inventory.views.access import granted, page, reads
from products.calculations.cut_drawings import sheet_dxf, sheet_svg
from products.calculations.cut_plans import SawnSheet, codes_taken, mm
from products.forms.cut_plans import CutPlanForm
from products.queries.cut_plans import sheets_said
from products.queries.sheet_stocks import stock_groups, taken_written
from products.views.drawings import drawing, svg


@reads
def create(request):
    asked = "length" in request.GET
    form = CutPlanForm(request.GET if asked else None, initial=request.GET.dict())
    context = {"place": "none", "groups": stock_groups(), "can": granted(request.user)}
    if asked and form.is_valid():
        context |= {
            "plan": form.plan,
            "figures": form.figures,
            "cut_m": mm(form.figures.cut_length_um // 1000),
            "sheets": sheets_said(form.plan),
            "query": address_of(request, form),
            "codes": list(dict.fromkeys(filter(None, codes_taken(form.plan)))),
            "taken": ",".join(filter(None, codes_taken(form.plan))),
        }
    return page(request, "products/cut_plans/new.html", context, form)


def address_of(request, form: CutPlanForm) -> str:
    """Return the question as an address that keeps its answer though sheets in stock come and go."""
    asked = request.GET.copy()
    if taken := taken_written(form.stock):
        asked["taken"] = taken
    return asked.urlencode()


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
