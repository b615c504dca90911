"""Nested plans: asked once, kept, shown again as they were found; their pictures and outlines."""

from django.contrib import messages
from django.http import Http404
from django.shortcuts import get_object_or_404, redirect
from django.utils.translation import gettext as _

from inventory.views.access import allows, attempt, granted, page, reads
from inventory.views.listings import paged
from products.actions.nested_plans import make_nested_plan
from products.calculations.cut_plans import mm
from products.calculations.nested_drawings import nested_dxf, nested_svg
from products.calculations.nesting_records import nested_of
from products.forms.nested_plans import NestedPlanForm
from products.models import NestedPlan
from products.queries.nested_plans import (
    missing_said,
    nested_plan_list,
    nested_sheets_said,
    search_said,
)
from products.queries.sheet_stocks import codes_if_free, sheets_taken, stock_groups
from products.views.cut_plans import FILL, filled_in
from products.views.drawings import drawing, svg


@reads
def index(request):
    context = {"place": "none", "page": paged(request, nested_plan_list())}
    context["can"] = granted(request.user)
    return page(request, "products/nested_plans/index.html", context)


@allows("cut-plan.nest")
def create(request):
    form = form_of(request)
    if form.is_valid():
        plan = attempt(form, make_nested_plan, ask=form.ask(), act=form.act(request.user))
        if plan:
            messages.success(request, _("%(number)s is kept.") % {"number": plan.number})
            return redirect(plan)
    context = {
        "place": "none",
        "groups": stock_groups(),
        "files": not form.is_bound and request.FILES,
    }
    return page(request, "products/nested_plans/new.html", context, form)


def form_of(request) -> NestedPlanForm:
    """Return the form that was sent; one that only fetched sheets in stock is shown on as it was typed."""
    if FILL not in request.POST:
        first = request.GET.dict()
        return NestedPlanForm(request.POST or None, request.FILES or None, initial=first)
    chosen = {name: upload.name for name, upload in request.FILES.items()}
    return NestedPlanForm(initial=filled_in(request.POST.dict() | chosen))


@reads
def detail(request, pk):
    plan = get_object_or_404(NestedPlan.objects.select_related("by"), pk=pk)
    nested = nested_of(plan.content)
    codes = [sheet.code for sheet in nested.sheets]
    stock = sheets_taken(codes)
    context = {
        "place": "none",
        "plan": plan,
        "search": search_said(plan),
        "missing": missing_said(nested),
        "sheets": nested_sheets_said(nested),
        "stock": stock,
        "address": plan.get_absolute_url(),
        "taken": codes_if_free(stock, codes),
        "thickness": mm(plan.thickness_um),
        "density": f"{plan.density_g_cm3.normalize():f} g/cm³ {plan.polymer}".strip(),
        "kerf": mm(nested.question.saw.kerf_um),
        "margin": mm(nested.question.saw.margin_um),
        "can": granted(request.user),
    }
    return page(request, "products/nested_plans/detail.html", context)


@reads
def download(request, pk, number, suffix):
    nested = nested_of(get_object_or_404(NestedPlan, pk=pk).content)
    if not 1 <= number <= len(nested.sheets):
        raise Http404(_("There is no such sheet in this plan."))
    sheet, name = nested.sheets[number - 1], f"N-{pk:04d}-{number}.{suffix}"
    if suffix == "dxf":
        text = nested_dxf(sheet, nested.question)
        return drawing(text, "application/dxf", name=name, download=True)
    return svg(nested_svg(sheet, nested.question), name=name, download="keep" in request.GET)
