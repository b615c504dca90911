"""Pages of runs: the list, opening, the page of one run, closing, giving up, opening again."""

from django.contrib import messages
from django.shortcuts import get_object_or_404, redirect
from django.utils.timezone import localdate
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from inventory.calculations.codes import group_code, normalise_code
from inventory.forms.fields import ReasonForm
from inventory.views.access import allows, attempt, granted, page, reads
from inventory.views.listings import Column, listing
from products.calculations.uses import cautions_of
from products.models import Operation
from products.queries.sentences import said
from workshop.actions.runs import abandon_run, close_run, open_run, reopen_run
from workshop.calculations.operations import RULES
from workshop.forms.runs import CloseForm, RunFilter, RunForm
from workshop.queries.plan_fits import tooling_says
from workshop.queries.runs import balances, run_list
from workshop.views.cautions import caution_for, caution_of
from workshop.views.run_pages import closing_message, gap_card, run_page
from workshop.views.stages import stage_urls

COLUMNS = (
    Column(gettext_lazy("Run"), "number"),
    Column(gettext_lazy("State")),
    Column(gettext_lazy("Machine"), "machine"),
    Column(gettext_lazy("Design"), "design"),
    Column(gettext_lazy("Operator"), "operator"),
    Column(gettext_lazy("Opened"), "opened"),
)
TAKES = {
    "granulate": gettext_lazy("bins and parts become flake"),
    "blend": gettext_lazy("bins are mixed into one"),
    "press": gettext_lazy("bins become sheets"),
    "inject": gettext_lazy("bins become moulded parts"),
    "extrude": gettext_lazy("bins become profiles or pellet"),
    "cut": gettext_lazy("sheets and profiles become blanks and parts"),
    "form": gettext_lazy("sheets and blanks become bent parts"),
}


def named_run(code: str):
    """Return the run of a code with all that its pages print, or answer 404."""
    runs = run_list().select_related("machine__last_polymer", "plan__by").defer("plan__content")
    return get_object_or_404(runs, code=code)


@reads
def index(request):
    context = listing(request, RunFilter(request.GET, queryset=run_list()), COLUMNS, place="runs")
    return page(request, "workshop/runs/index.html", context | {"may": granted(request.user)})


@allows("run.open")
def open_one(request):
    operation = request.GET.get("operation")
    if operation not in RULES:
        choices = [(each, each.label, TAKES[each]) for each in Operation]
        return page(request, "workshop/runs/choose.html", {"place": "runs", "choices": choices})
    first = {"sheets": codes_written(request.GET.get("sheets", ""))}
    first["cutting_list"] = request.GET.get("cutting_list", "")
    form = RunForm(request.POST or None, operation=operation, initial=first)
    if form.is_valid():
        run = attempt(form, open_run, plan=form.plan(), act=form.act(request.user))
        if run:
            sentence = _("%(run)s is open on %(machine)s. Load it now.")
            messages.success(request, sentence % {"run": run.number, "machine": run.machine.name})
            for sentence in tooling_says(run.tooling, run.design, localdate()):
                messages.warning(request, sentence)
            return redirect("workshop:run-load", run.code)
    context = {"place": "runs", "operation": Operation(operation), "takes": TAKES[operation]}
    context |= {"may": granted(request.user), "uses": use_cautions(form)}
    kinds = dict.fromkeys(machine.kind for machine in form.fields["machine"].queryset)
    context["cautions"] = [caution_of(kind) for kind in kinds]
    return page(request, "workshop/runs/open.html", context, form)


def codes_written(sheets: str) -> str:
    """Return the sheets that a cut plan asks a run for, as people read codes; those that are none are left out."""
    return ", ".join(group_code(code) for code in map(normalise_code, sheets.split(",")) if code)


def use_cautions(form: RunForm) -> list[tuple]:
    """Return the designs on offer that are meant for a use which needs an approval, with the cautions."""
    field = form.fields.get("design")
    designs = field.queryset if field and field.queryset is not None else []
    asked = [(each.name, cautions_of(each.uses)) for each in designs if each.uses]
    return [(name, " ".join(map(said, cautions))) for name, cautions in asked]


@reads
def detail(request, code):
    run = named_run(code)
    context = run_page(run, balances(run), granted(request.user))
    context["shows_setup"] = request.GET.get("stage") == "setup"
    return page(request, "workshop/runs/detail.html", context)


@allows("run.close")
def close(request, code):
    run = named_run(code)
    found = balances(run)
    waiting = [each for each in found if not each.is_closed]
    has_gap = any(each.left_mg and not each.is_within for each in waiting)
    form = CloseForm(request.POST or None, has_gap=has_gap)
    if form.is_valid():
        closed = attempt(form, close_run, run=run, act=form.act(request.user))
        if closed:
            messages.success(request, closing_message(closed))
            return redirect(closed)
    may = granted(request.user)
    context = {"place": "runs", "run": run, "has_gap": has_gap, "may": may}
    context["gaps"] = [gap_card(each) for each in waiting]
    context["unweighed"] = [each for each in waiting if not each.yields]
    context["stages"] = stage_urls(run, may, is_loaded=bool(waiting))
    return page(request, "workshop/runs/close.html", context, form)


@allows("run.abandon")
def abandon(request, code):
    run = named_run(code)
    form = ReasonForm(request.POST or None)
    left_mg = sum(each.left_mg for each in balances(run))
    if form.is_valid() and attempt(form, abandon_run, run=run, act=form.act(request.user)):
        sentence = _("%(run)s is abandoned; nothing was in the machine.")
        if left_mg:
            sentence = _("%(run)s is abandoned; what was in the machine is booked out.")
        messages.success(request, sentence % {"run": run.number})
        return redirect(run)
    context = {"place": "runs", "run": run, "left_mg": left_mg, "caution": caution_for(run.machine)}
    return page(request, "workshop/runs/abandon.html", context, form)


@allows("run.reopen")
def reopen(request, code):
    run = named_run(code)
    form = ReasonForm(request.POST or None)
    if form.is_valid() and attempt(form, reopen_run, run=run, act=form.act(request.user)):
        sentence = _("%(run)s is open again; what its closing booked is reversed.")
        messages.success(request, sentence % {"run": run.number})
        return redirect(run)
    return page(request, "workshop/runs/reopen.html", {"place": "runs", "run": run}, form)
