"""Pages of plans: ask before the plastic is hot, start the run, and see afterwards what came of it."""

from django.contrib import messages
from django.shortcuts import get_object_or_404, redirect
from django.urls import reverse
from django.utils import timezone
from django.utils.http import urlencode
from django.utils.translation import gettext as _

from inventory.queries.durations import duration_said
from inventory.templatetags.quantities import percent
from inventory.views.access import allows, attempt, granted, page, reads
from products.models import Design
from workshop.actions.plans import start_planned_run
from workshop.calculations.run_costs import LABOUR, MATERIAL, Line, kwh_per_kg
from workshop.forms.plans import PlanForm, PlanStartForm
from workshop.queries.changeovers import change_said
from workshop.queries.cost_words import (
    energy_basis,
    energy_said,
    line_said,
    number_said,
    sums_said,
)
from workshop.queries.plan_results import comparisons_of, plan_of
from workshop.queries.plan_words import (
    VERDICTS,
    expected_lines,
    fit_said,
    limit_said,
    obstacles_said,
)
from workshop.queries.plans import Planned, plan_designs, plan_for
from workshop.views.cautions import caution_for, purge_caution, sheet_caution
from workshop.views.plan_rows import fit_limits, load_limits, row_shown, step_times
from workshop.views.runs import named_run

NOT_ASKED = ("csrfmiddlewaretoken", "key", "token", "happened_at")


@reads
def new(request):
    design = design_asked(request.GET)
    if design is None:
        context = {"place": "runs", "designs": plan_designs(), "may": granted(request.user)}
        return page(request, "workshop/plans/choose.html", context)
    form = PlanForm(request.GET if "pieces" in request.GET else None, design=design)
    planned = plan_for(form.question()) if form.is_valid() else None
    return plan_page(request, form, planned)


@allows("run.open")
def start(request):
    design = design_asked(request.POST)
    if design is None:
        return redirect("workshop:plan-new")
    form, begin = PlanForm(request.POST, design=design), PlanStartForm(request.POST)
    if form.is_valid() and begin.is_valid():
        sent = {"question": form.question(), "token": begin.cleaned_data["token"]}
        plan = attempt(begin, start_planned_run, act=begin.act(request.user), **sent)
        if plan:
            sentence = _("%(run)s is open on %(machine)s. Load the planned bins now.")
            facts = {"run": plan.run.number, "machine": plan.run.machine.name}
            messages.success(request, sentence % facts)
            return redirect("workshop:run-load", plan.run.code)
    planned = plan_for(form.question()) if form.is_valid() else None
    return plan_page(request, form, planned, begin)


def design_asked(sent) -> Design | None:
    """Return the design of a key in the address, if it can be planned; an unknown one answers 404."""
    key = sent.get("design", "")
    if not key:
        return None
    number = int(key) if key.isascii() and key.isdecimal() and len(key) < 10 else 0  # noqa: PLR2004
    return get_object_or_404(plan_designs(), pk=number)


def plan_page(
    request, form: PlanForm, planned: Planned | None, refused: PlanStartForm | None = None
):
    """Show the question, and its answer where there is one; a refusal answers 422 with the plan as it is now."""
    context = {"place": "runs", "design": form.design, "planned": planned, "refused": refused}
    context["may"] = granted(request.user)
    if planned:
        asked = asked_of(request)
        context |= answer_of(planned) | {"asked": asked}
        back = f"{reverse('workshop:plan-new')}?{urlencode(asked)}"
        may_purge = context["may"]["machine_purge"]
        context["purge"] = purge_caution(planned.purge, may_purge=may_purge, back=back)
        context["start"] = PlanStartForm(initial={"token": planned.token})
    response = page(request, "workshop/plans/new.html", context, form)
    if refused:
        response.status_code = 422
    return response


def asked_of(request) -> dict:
    """Return what was asked, as it is sent again."""
    sent = request.POST or request.GET
    return {name: sent[name] for name in sent if name not in NOT_ASKED}


def answer_of(planned: Planned) -> dict:
    """Return a plan as its page prints it."""
    times = planned.times
    return {
        "obstacles": obstacles_said(planned),
        "fits": [
            {"fits": fit.fits and not fit.has_doubt, "said": fit_said(fit)} for fit in planned.fits
        ],
        "verdict": VERDICTS[planned.verdict],
        "limits": fit_limits(),
        "limiting": limit_said(planned.limiting) if planned.limiting else "",
        "changeover": duration_said(planned.changeover_s) if planned.changeover_s else "",
        "changes": [change_said(change) for change in planned.changes],
        "expected": expected_lines(planned),
        **costs_of(planned),
        "total": duration_said(planned.total_s) if times else "",
        "cycle": duration_said(times.cycle_s) if times else "",
        "steps": step_times(times),
        "caution": caution_for(planned.question.machine),
        "sheet_caution": sheet_caution(planned.question.machine, planned.question.polymer),
    }


def costs_of(planned: Planned) -> dict:
    """Return the energy and the cost of a plan as its page prints them."""
    energy, cost = planned.costs.energy, planned.costs.cost
    is_partly_priced = planned.draws and cost.known_share not in {None, 1}
    return {
        "energy": energy_said(energy),
        "energy_basis": energy_basis(energy),
        "energy_per_kg": number_said(kwh_per_kg(energy, cost.good_mg), 2, "kWh/kg"),
        "cost_lines": [cost_line(planned, line) for line in cost.lines],
        "sums": sums_said(cost),
        "unpriced": percent(1 - cost.known_share) if is_partly_priced else "",
    }


def cost_line(planned: Planned, line: Line) -> dict:
    """Return a line of the cost; that of material waits for bins, and that of labour for a time."""
    said = line_said(line, planned.costs.cost.currency)
    if line.kind == MATERIAL and not planned.draws:
        return said | {"why": _("until bins are found to draw it from")}
    if line.kind == LABOUR and planned.times is None:
        return said | {"why": _("until three runs have counted their cycles")}
    return said


@reads
def detail(request, code):
    run = named_run(code)
    plan = plan_of(run)
    rows = comparisons_of(plan, run, timezone.now()) if plan else []
    context = {"place": "runs", "run": run, "plan": plan, "may": granted(request.user)}
    context |= {"rows": [row_shown(row) for row in rows], "limits": load_limits()}
    return page(request, "workshop/plans/detail.html", context)
