"""The lead puts the workshop's own figure in the place of the reference's, or takes it back."""

from django.contrib import messages
from django.http import Http404
from django.shortcuts import get_object_or_404, redirect
from django.utils.translation import gettext as _

from inventory.actions.own_figures import return_to_reference, set_own_figure
from inventory.forms.own_figures import BackForm, OwnFigureForm
from inventory.models import Polymer
from inventory.queries.material_sheets import Line, sheet_of
from inventory.views.access import allows, attempt, page


@allows("figure.own")
def edit(request, symbol, slug):
    polymer, line = figure_named(symbol, slug)
    form = OwnFigureForm(request.POST or None, line=line)
    if form.is_valid():
        act, ends = form.act(request.user), form.ends()
        if attempt(form, set_own_figure, polymer=polymer, name=slug, ends=ends, act=act):
            messages.success(
                request, _("%(figure)s is your own value now.") % {"figure": line.label}
            )
            return redirect(polymer)
    return page(request, "inventory/own_figures/edit.html", context_of(polymer, line), form)


@allows("figure.own")
def back(request, symbol, slug):
    polymer, line = figure_named(symbol, slug)
    form = BackForm(request.POST or None)
    if form.is_valid():
        act = form.act(request.user)
        if attempt(form, return_to_reference, polymer=polymer, name=slug, act=act):
            facts = {"figure": line.label}
            messages.success(request, _("%(figure)s is the reference's again.") % facts)
            return redirect(polymer)
    return page(request, "inventory/own_figures/back.html", context_of(polymer, line), form)


def figure_named(symbol: str, name: str) -> tuple[Polymer, Line]:
    """Return a polymer and a line of its sheet, or answer 404."""
    polymer = get_object_or_404(Polymer, symbol=symbol)
    line = next((line for line in sheet_of(polymer).lines if line.name == name), None)
    if line is None:
        raise Http404(_("The sheet of this polymer has no such figure."))
    return polymer, line


def context_of(polymer: Polymer, line: Line) -> dict:
    """Return what both pages print."""
    return {"place": "none", "polymer": polymer, "line": line}
