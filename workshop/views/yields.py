"""The pages that weigh out what a charge became."""

from django.contrib import messages
from django.shortcuts import redirect
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext

from inventory.models import Material
from inventory.queries.codes import void_note
from inventory.templatetags.quantities import mass
from inventory.views.access import allows, attempt, granted, page
from workshop.actions.yields import why_not_put_into, yield_from_run
from workshop.calculations.operations import RULES, form_of_yield
from workshop.forms.yields import YieldForm
from workshop.models import CODED, Run, Yield
from workshop.queries.codes import bin_called
from workshop.queries.expectations import expected_mass_mg, experience_of, piece_mass_mg
from workshop.queries.kept_pieces import loaded_sheets
from workshop.queries.runs import ChargeBalance, balances, stage_of
from workshop.queries.yields import bins_for, pieces_to_weigh
from workshop.views.cautions import caution_for
from workshop.views.runs import named_run
from workshop.views.scales import remember_scale, usual_weighing
from workshop.views.stages import stage_urls

SAYS = {
    "part": gettext_lazy("counted, each with a code"),
    "kept": gettext_lazy("offcuts of a sheet worth keeping, each with a code and its size"),
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
    found = balances(run)
    open_charges = [each for each in found if not each.is_closed]
    kind = request.GET.get("kind")
    if kind not in kinds_of(run) or not open_charges:
        return choose(request, run, found)
    scanned = scanned_bin(request, run, kind, open_charges[-1])
    form = yield_form(request, run, kind, open_charges, scanned)
    if form.is_valid():
        sent = yielded(run, form, request.user) | {"is_confirmed": form.is_confirmed()}
        made = attempt(form, yield_from_run, **sent)
        if made:
            remember_scale(request, form)
            say(request, run, made)
            return redirect("workshop:run-yield", run.code)
        form.ask_of_short(form.most_mg(open_charges))
    context = weighing(request, run, found)
    context |= {"kind": Yield.Kind(kind), "scanned": scanned}
    context["expected_mg"] = context["expected"].get(kind)
    response = page(request, "workshop/yields/weigh_out.html", context, form)
    if scanned["refused"] and request.method != "POST":
        response.status_code = 422
    return response


def kinds_of(run: Run) -> list[str]:
    """Return the kinds of yield that a run gives; parts need a design."""
    return [kind for kind in RULES[run.operation].yields if kind != "part" or run.design]


def weighing(request, run: Run, found: list[ChargeBalance]) -> dict:
    """Return what both steps of weighing out print, with the masses that are to be expected."""
    open_charges = [each for each in found if not each.is_closed]
    charge = open_charges[-1] if open_charges else None
    may = granted(request.user)
    experience = experience_of(run)
    due = (
        []
        if charge is None
        else [(kind, due_mg(charge, kind, experience)) for kind in kinds_of(run)]
    )
    return {
        "place": "runs",
        "run": run,
        "may": may,
        "due": stage_of(run, found),
        "stages": stage_urls(run, may, is_loaded=bool(open_charges)),
        "charge": charge,
        "experience": experience,
        "piece_mg": piece_mass_mg(run, experience),
        "expected": {kind: mass_mg for kind, mass_mg in due if mass_mg},
        "caution": caution_for(run.machine),
    }


def due_mg(charge: ChargeBalance, kind: str, experience) -> int | None:
    """Return how much of a kind a charge should still give; never more than is left."""
    mass_mg = expected_mass_mg(charge, kind, experience)
    return None if mass_mg is None else min(mass_mg, charge.left_mg)


def choose(request, run: Run, found: list[ChargeBalance]):
    """Show the kinds of yield, large, each with what is to be expected and what was weighed already."""
    context = weighing(request, run, found)
    charge = context["charge"]
    given = {}
    for row in charge.yields if charge else []:
        given[row.kind] = given.get(row.kind, 0) + row.mass_mg
    bin = request.GET.get("bin", "").strip()
    context["bin"] = bin
    context["choices"] = [
        {
            "kind": kind,
            "label": Yield.Kind(kind).label,
            "says": SAYS[kind],
            "given_mg": given.get(kind),
            "expected_mg": context["expected"].get(kind),
        }
        for kind in kinds_of(run)
        if not (bin and kind in CODED)
    ]
    return page(request, "workshop/yields/choose.html", context)


def scanned_bin(request, run: Run, kind: str, charge: ChargeBalance) -> dict:
    """Return the bin that was scanned for this, and why it takes nothing of it, if so."""
    typed = request.GET.get("bin", "").strip()
    if not typed or kind in CODED:
        return {"bin": None, "refused": []}
    if note := void_note(typed, request.POST.get("key")):
        return {"bin": None, "refused": [note]}
    bin = bin_called(typed)
    if bin is None:
        sentence = _("No bin answers to “%(typed)s”; scan its label or choose below.")
        return {"bin": None, "refused": [sentence % {"typed": typed[:60]}]}
    why_not = why_not_put_into(run=run, charge=charge.charge, kind=kind, bin=bin)
    return {"bin": None if why_not else bin, "refused": why_not.messages if why_not else []}


def yield_form(request, run: Run, kind: str, open_charges, scanned: dict) -> YieldForm:
    """Return the form of one kind, with the bins that take it and the pieces that were counted."""
    lot = open_charges[-1].charge.lot
    bins = []
    if kind not in CODED:
        form = form_of_yield(run.operation, kind, lot.form)
        bins = bins_for(Material(lot.polymer, lot.colour, form))
    first = usual_weighing(request, YieldForm) | {"bin": scanned["bin"]}
    if kind == Yield.Kind.PART:
        first["pieces"] = pieces_to_weigh(run) or None
    sheets = loaded_sheets(run) if kind == Yield.Kind.KEPT else []
    more = {"charges": open_charges, "bins": bins, "sheets": sheets, "initial": first}
    return YieldForm(request.POST or None, kind=kind, **more)


def yielded(run: Run, form: YieldForm, by) -> dict:
    """Return the arguments of the action that a valid form asks for."""
    number = form.cleaned_data.get("charge")
    return {"run": run, "outcome": form.outcome(), "act": form.act(by), "charge_number": number}


def say(request, run: Run, made: Yield) -> None:
    """Say what was weighed out."""
    facts = {
        "pieces": made.pieces,
        "mass": mass(made.mass_mg),
        "kind": made.get_kind_display(),
        "run": run.number,
        "place": made.bin.name if made.bin else _("the waste"),
    }
    if not made.is_coded:
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
