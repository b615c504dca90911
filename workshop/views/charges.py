"""Pages that load a run, and carry what is left into the next charge."""

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.shortcuts import redirect
from django.utils.translation import gettext as _

from inventory.actions.refusals import refusal
from inventory.forms.fields import ActForm
from inventory.models import Bin, Lot
from inventory.queries.codes import void_note
from inventory.templatetags.quantities import mass
from inventory.views.access import allows, attempt, granted, page
from products.models import Part
from products.queries.spoken_sheets import claims, free_pieces
from workshop.actions.charges import carry_over, load_run, why_not_loaded
from workshop.calculations.operations import suits
from workshop.forms.charges import LoadForm, PartLoadForm
from workshop.models import Load, Run
from workshop.queries.accounts import source_label
from workshop.queries.charges import fitting_lots, fitting_parts, part_of, wanted_polymers
from workshop.queries.codes import lot_called, thing_called
from workshop.queries.expectations import experience_of, filling_of
from workshop.queries.melt_passes import passes_now
from workshop.queries.plan_results import (
    draw_of,
    filling_planned,
    open_draws,
    plan_of,
    waits_for_purge,
)
from workshop.queries.planned_sheets import claims_of_others, sheets_to_cut, taken_from
from workshop.queries.runs import balances, needs_purge, stage_of, standing_loads
from workshop.views.cautions import caution_for, reject_caution, sheet_caution
from workshop.views.run_pages import layers
from workshop.views.runs import named_run
from workshop.views.scales import remember_scale, usual_weighing
from workshop.views.stages import stage_urls


@allows("run.load")
def load(request, code):
    run = named_run(code)
    typed = request.GET.get("from", "").strip()
    refused = refused_scan(request, run, typed) if typed else None
    lot = lot_called(typed) if typed and not refused else None
    if lot is None:
        return choose(request, run, typed, refused)
    part = part_of(lot)
    form = load_form(request, lot, part)
    if form.is_valid():
        sent = {"portion": form.portion(), "is_confirmed": form.is_confirmed()}
        loaded = attempt(form, load_run, run=run, act=form.act(request.user), **sent)
        if loaded:
            remember_scale(request, form)
            messages.success(request, loaded_message(run, loaded))
            return redirect("workshop:run-load", run.code)
        form.ask_of_short(lot.held_mg)
    context = loading(request, run) | {"lot": lot, "part": part, "passes": passes_now(run, lot)}
    context["sheet_caution"] = sheet_caution(run.machine, lot.polymer)
    context["meant"] = draw_of(context["planned"], lot)
    context["claims"] = claims_of_others(claims(), run).get(part.pk, []) if part else []
    return page(request, "workshop/charges/load.html", context, form)


def refused_scan(request, run: Run, typed: str) -> ValidationError | None:
    """Return why what was scanned is not loaded, before anything is weighed, or None.

    A form that is sent is judged by its action, which knows a repeat from a second load.
    """
    chosen = "chosen" in request.GET
    if not chosen and (note := void_note(typed, request.POST.get("key"))):
        return refusal("void-label", note)
    lot = lot_called(typed)
    if lot:
        return None if request.method == "POST" else why_not_loaded(run=run, lot=lot)
    if isinstance(bin := thing_called(typed), Bin):
        sentence = _("Bin %(bin)s is empty; scan another one.")
        return refusal("empty", sentence, bin=bin.name)
    sentence = _("Nothing to load answers to “%(typed)s”; scan the label again or choose below.")
    return refusal("no-load", sentence, typed=typed[:60])


def choose(request, run: Run, typed: str, refused: ValidationError | None):
    """Show what fits, large; a code that was refused stays in its box, and the answer is 422."""
    wanted = wanted_polymers(run)
    context = loading(request, run) | {
        "typed": box_text(request, typed),
        "refused": refused.messages if refused else [],
        "lots": fitting_lots(run, wanted),
        "parts": fitting_parts(run, wanted),
        "wanted": wanted,
        "needs_purge": needs_purge(run),
        "reject": rejected_scan(typed, refused),
        "may_purge": is_mended_by_purge(run, refused),
    }
    leave_to_plan(context, run)
    leave_to_others(context, run)
    put_apart(context, run)
    charge = context["charge"]
    context["passes"] = passes_now(run, charge.charge.lot if charge else None)
    response = page(request, "workshop/charges/choose.html", context)
    if refused:
        response.status_code = 422
    return response


def is_mended_by_purge(run: Run, refused: ValidationError | None) -> bool:
    """Return whether what was scanned goes in once the machine is purged."""
    last = run.machine.last_polymer
    return refused is not None and refused.code == "needs-purge" and not (last and last.is_rejected)


def box_text(request, typed: str) -> str:
    """Return what was typed as it was; what was tapped by the name of its bin, and not by a code nobody typed."""
    lot = lot_called(typed) if "chosen" in request.GET else None
    return lot.bin.name if lot and lot.bin else typed


def rejected_scan(typed: str, refused: ValidationError | None) -> dict | None:
    """Return the caution of what was refused when it is reject material, which is on hold as a rule."""
    lot = lot_called(typed) if refused is not None else None
    return reject_caution(lot.polymer) if lot else None


def leave_to_plan(context: dict, run: Run) -> None:
    """Take out what the plan names apart, and all of another polymer while the planned one waits for a purge."""
    codes = {draw["lot"] for draw in context["planned"]}
    context["lots"] = [lot for lot in context["lots"] if lot.code not in codes]
    if waits_for_purge(plan_of(run), run):
        context |= {"lots": [], "parts": [], "needs_purge": True}


def leave_to_others(context: dict, run: Run) -> None:
    """Name the sheets apart that the run was opened for, and leave out what other open runs are to cut."""
    context["to_cut"] = sheets_to_cut(run)
    named = {sheet.part.pk for sheet in context["to_cut"]}
    others = claims_of_others(claims(), run)
    context["parts"] = [
        part for part in context["parts"] if part.pk not in named and free_pieces(part, others)
    ]


def put_apart(context: dict, run: Run) -> None:
    """Put what is of a form that the operation is seldom loaded with apart, to be unfolded."""
    lots, parts = context["lots"], context["parts"]
    context["lots"] = [lot for lot in lots if suits(run.operation, lot.form)]
    context["parts"] = [part for part in parts if suits(run.operation, part.design.form)]
    context["other_lots"] = [lot for lot in lots if lot not in context["lots"]]
    context["other_parts"] = [part for part in parts if part not in context["parts"]]


def load_form(request, lot: Lot, part: Part | None):
    """Return the form for a part, or for some mass of any other lot."""
    if part:
        first = usual_weighing(request, PartLoadForm)
        return PartLoadForm(request.POST or None, part=part, initial=first)
    first = usual_weighing(request, LoadForm)
    return LoadForm(request.POST or None, lot=lot, initial=first)


def loading(request, run: Run) -> dict:
    """Return what the steps of loading print."""
    found = balances(run)
    newest = found[-1] if found and not found[-1].is_closed else None
    is_sealed = bool(newest and newest.is_sealed)
    may, plan = granted(request.user), plan_of(run)
    return {
        "place": "runs",
        "run": run,
        "may": may,
        "due": stage_of(run, found),
        "stages": stage_urls(run, may, is_loaded=bool(newest)),
        "filling": filling_planned(plan, filling_of(run, found, experience_of(run))),
        "planned": open_draws(plan, found) if plan else [],
        "left": newest if is_sealed and newest.left_mg else None,
        "charge": newest if newest and not is_sealed else None,
        "segments": layers(newest) if newest and not is_sealed else [],
        "caution": caution_for(run.machine),
    }


def loaded_message(run: Run, loaded: Load) -> str:
    """Return what was loaded, in a sentence."""
    load = standing_loads([loaded.charge]).get(pk=loaded.pk)
    facts = {
        "mass": mass(load.mass_mg),
        "source": source_label(load),
        "number": loaded.charge.number,
        "run": run.number,
        "others": ", ".join(claim.label for claim in taken_from(loaded)),
    }
    sentence = _("%(mass)s from %(source)s is in charge %(number)s of %(run)s.")
    if facts["others"]:
        sentence = _(
            "%(mass)s from %(source)s is in charge %(number)s of %(run)s, and missing in %(others)s."
        )
    return sentence % facts


@allows("run.load")
def carry(request, code):
    run = named_run(code)
    form = ActForm(request.POST or None)
    if form.is_valid():
        carried = attempt(form, carry_over, run=run, act=form.act(request.user))
        if carried:
            sentence = _("%(mass)s is carried into charge %(number)s.")
            facts = {"mass": mass(carried.mass_mg), "number": carried.charge.number}
            messages.success(request, sentence % facts)
            return redirect("workshop:run-load", run.code)
    return page(request, "workshop/charges/carry.html", loading(request, run), form)
