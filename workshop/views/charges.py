"""Pages that load a run, and carry what is left into the next charge."""

from django.contrib import messages
from django.shortcuts import redirect
from django.utils.translation import gettext as _

from inventory.forms.fields import ActForm
from inventory.models import Lot
from inventory.queries.codes import void_note
from inventory.templatetags.quantities import mass
from inventory.views.access import allows, attempt, page
from products.models import Part
from workshop.actions.charges import carry_over, load_run
from workshop.forms.charges import LoadForm, PartLoadForm
from workshop.models import Load, Run
from workshop.queries.accounts import source_label
from workshop.queries.charges import fitting_lots, fitting_parts, part_of, wanted_polymers
from workshop.queries.codes import lot_called
from workshop.queries.runs import balances, needs_purge, standing_loads
from workshop.views.cautions import caution_for
from workshop.views.runs import named_run
from workshop.views.scales import remember_scale, usual_scale


@allows("run.load")
def load(request, code):
    run = named_run(code)
    typed = request.GET.get("from", "").strip()
    note = "" if "chosen" in request.GET else void_note(typed, request.POST.get("key"))
    lot = lot_called(typed) if typed and not note else None
    if lot is None:
        return choose(request, run, typed, note)
    part = part_of(lot)
    form = load_form(request, lot, part)
    if form.is_valid():
        loaded = attempt(
            form, load_run, run=run, portion=form.portion(), act=form.act(request.user)
        )
        if loaded:
            remember_scale(request, form)
            messages.success(request, loaded_message(run, loaded))
            return redirect(run)
    context = loading(run) | {"lot": lot, "part": part}
    return page(request, "workshop/charges/load.html", context, form)


def choose(request, run: Run, typed: str, note: str):
    """Show what fits, large; a code that led nowhere or is void stays in its box and answers 422."""
    wanted = wanted_polymers(run)
    context = loading(run) | {
        "typed": typed,
        "note": note,
        "lots": fitting_lots(run, wanted),
        "parts": fitting_parts(run, wanted),
        "wanted": wanted,
        "needs_purge": needs_purge(run),
    }
    response = page(request, "workshop/charges/choose.html", context)
    if typed:
        response.status_code = 422
    return response


def load_form(request, lot: Lot, part: Part | None):
    """Return the form for a part, or for some mass of any other lot."""
    first = {"scale": usual_scale(request)}
    if part:
        return PartLoadForm(request.POST or None, part=part, initial=first)
    return LoadForm(request.POST or None, lot=lot, initial=first)


def loading(run: Run) -> dict:
    """Return what both steps of loading print."""
    newest = [each for each in balances(run) if not each.is_closed][-1:]
    sealed = newest[0] if newest and newest[0].is_sealed else None
    return {
        "place": "runs",
        "run": run,
        "left": sealed if sealed and sealed.left_mg else None,
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
    }
    return _("%(mass)s from %(source)s is in charge %(number)s of %(run)s.") % facts


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
            return redirect(run)
    return page(request, "workshop/charges/carry.html", loading(run), form)
