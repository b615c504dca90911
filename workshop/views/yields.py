"""The page that weighs out what a charge became."""

from django.contrib import messages
from django.shortcuts import redirect
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext

from inventory.models import Material
from inventory.templatetags.quantities import mass
from inventory.views.access import allows, attempt, page
from products.calculations.ranges import piece_mass_note
from products.forms.ranges import sentence_of
from workshop.actions.yields import yield_from_run
from workshop.calculations.operations import RULES, form_of_yield
from workshop.forms.yields import YieldForm
from workshop.models import Run, Yield
from workshop.queries.runs import balances
from workshop.queries.yields import bins_for
from workshop.views.cautions import caution_for
from workshop.views.runs import named_run
from workshop.views.scales import remember_scale, usual_scale

SAYS = {
    "part": gettext_lazy("counted, each with a code"),
    "material": gettext_lazy("what the run was for, into a bin"),
    "reject": gettext_lazy("pieces that are no good"),
    "offcut": gettext_lazy("edges and sprues, into their bin"),
    "dust": gettext_lazy("swept or drawn off"),
    "purging": gettext_lazy("what the machine was cleared with"),
    "leftover": gettext_lazy("taken out as it went in"),
}


@allows("run.yield")
def weigh_out(request, code):
    run = named_run(code)
    open_charges = [each for each in balances(run) if not each.is_closed]
    kind = request.GET.get("kind")
    if kind not in kinds_of(run) or not open_charges:
        return choose(request, run, open_charges)
    charge = open_charges[-1]
    form = yield_form(request, run, kind, open_charges)
    if form.is_valid():
        made = attempt(form, yield_from_run, **yielded(run, form, request.user))
        if made:
            remember_scale(request, form)
            say(request, run, made)
            return redirect(run)
    context = {"place": "runs", "run": run, "kind": Yield.Kind(kind), "charge": charge}
    context |= {"expected": expected(run, kind), "caution": caution_for(run.machine)}
    return page(request, "workshop/yields/weigh_out.html", context, form)


def kinds_of(run: Run) -> list[str]:
    """Return the kinds of yield that a run gives; parts need a design."""
    return [kind for kind in RULES[run.operation].yields if kind != "part" or run.design]


def choose(request, run: Run, open_charges):
    """Show the kinds of yield, large."""
    choices = [(kind, Yield.Kind(kind).label, SAYS[kind]) for kind in kinds_of(run)]
    charge = open_charges[-1] if open_charges else None
    context = {"place": "runs", "run": run, "charge": charge, "choices": choices}
    return page(request, "workshop/yields/choose.html", context)


def yield_form(request, run: Run, kind: str, open_charges) -> YieldForm:
    """Return the form of one kind, with the bins that take it."""
    lot = open_charges[-1].charge.lot
    bins = []
    if kind != Yield.Kind.PART:
        form = form_of_yield(run.operation, kind, lot.form)
        bins = bins_for(Material(lot.polymer, lot.colour, form))
    first = {"scale": usual_scale(request)}
    return YieldForm(
        request.POST or None, kind=kind, charges=open_charges, bins=bins, initial=first
    )


def yielded(run: Run, form: YieldForm, by) -> dict:
    """Return the arguments of the action that a valid form asks for."""
    number = form.cleaned_data.get("charge")
    return {"run": run, "outcome": form.outcome(), "act": form.act(by), "charge_number": number}


def expected(run: Run, kind: str) -> int | None:
    """Return the design's mass of one piece in mg, where pieces are weighed."""
    return run.design.nominal_mass_mg if run.design and kind == Yield.Kind.PART else None


def say(request, run: Run, made: Yield) -> None:
    """Say what was weighed out, and once whether its mass is unusual for the design."""
    facts = {
        "pieces": made.pieces,
        "mass": mass(made.mass_mg),
        "kind": made.get_kind_display(),
        "run": run.number,
        "place": made.bin.name if made.bin else _("the waste"),
    }
    if made.kind != Yield.Kind.PART:
        messages.success(
            request, _("%(mass)s of %(kind)s from %(run)s went into %(place)s.") % facts
        )
        return
    sentence = ngettext(
        "%(pieces)s piece, %(mass)s, came out of %(run)s.",
        "%(pieces)s pieces, %(mass)s, came out of %(run)s.",
        made.pieces,
    )
    messages.success(request, sentence % facts)
    note = piece_mass_note(
        mass_mg=made.mass_mg, pieces=made.pieces, nominal_mg=run.design.nominal_mass_mg
    )
    if note:
        messages.warning(request, sentence_of(note))
