"""Lots: their list, the page of each, and what is done to one."""

from django.contrib import messages
from django.http import Http404
from django.shortcuts import redirect
from django.utils.translation import gettext as _

from inventory.actions.lots import (
    dispose_lot,
    hold_lot,
    identify_lot,
    move_lot,
    write_off_lot,
)
from inventory.forms.fields import ReasonForm
from inventory.forms.lots import DisposeForm, IdentifyForm, LotFilter, MoveForm
from inventory.models import Lot, Polymer
from inventory.queries.deliveries import put_into_bins
from inventory.queries.lineages import lineage_kept
from inventory.queries.lots import (
    history_entries,
    lot_label,
    lot_list,
    lot_with_code,
    with_fillers,
)
from inventory.queries.postings import lot_history, mass_moved
from inventory.queries.traces import in_words, make_up_of
from inventory.templatetags.quantities import bulk
from inventory.views.access import allows, attempt, granted, page, reads
from inventory.views.listings import Column, listing, paged


@reads
def index(request):
    columns = [
        Column(_("Lot"), "opened"),
        Column(_("Material"), "polymer"),
        Column(_("Form")),
        Column(_("Holds"), "held", numeric=True),
        Column(_("State")),
    ]
    filters = LotFilter(request.GET, queryset=lot_list())
    context = listing(request, filters, columns, place="none")
    return page(request, "inventory/lots/index.html", context)


@reads
def detail(request, code):
    (lot,) = with_fillers([lot_or_404(code)])
    shown = paged(request, lot_history(lot))
    context = context_of(lot) | {
        "page": shown,
        "entries": history_entries(shown, {lot.pk}),
        "holds": lot.holds.select_related("placed_by", "lifted_by"),
        "moves": put_into_bins(lot) if lot.kind == Lot.Kind.DELIVERY else [],
        "can": granted(request.user),
        "lineage": lineage_kept(lot),
    }
    return page(request, "inventory/lots/detail.html", context)


@reads
def make_up(request, code):
    lot = lot_or_404(code)
    template = "inventory/lots/_make_up.html" if request.htmx else "inventory/lots/make_up.html"
    shown = in_words(make_up_of(lot, of_mg=lot.held_mg or lot.in_mg))
    return page(request, template, context_of(lot) | {"make_up": shown})


@allows("lot.move")
def move(request, code):
    lot = lot_or_404(code)
    form = MoveForm(request.POST or None, lot=lot, initial={"bin": request.GET.get("bin")})
    if form.is_valid():
        act, mass = form.act(request.user), form.weighed()
        if posting := attempt(form, move_lot, lot=lot, bin=form.target, mass=mass, act=act):
            say(
                request,
                _("%(mass)s moved from %(lot)s to %(bin)s. %(number)s."),
                lot,
                posting,
                form.target,
            )
            return redirect(form.target)
        form.ask_of_short(lot.held_mg)
    return page(request, "inventory/lots/move.html", act_on(lot, _("Move %(lot)s")), form)


@allows("lot.dispose")
def dispose(request, code):
    lot = lot_or_404(code)
    form = DisposeForm(request.POST or None, lot=lot)
    if form.is_valid():
        act, mass = form.act(request.user), form.weighed()
        if posting := attempt(form, dispose_lot, lot=lot, mass=mass, act=act):
            say(request, _("%(mass)s of %(lot)s disposed. %(number)s."), lot, posting)
            return redirect(lot.bin or lot)
        form.ask_of_short(lot.held_mg)
    return page(request, "inventory/lots/dispose.html", act_on(lot, _("Dispose of %(lot)s")), form)


@allows("bin.empty")
def write_off(request, code):
    lot = lot_or_404(code)
    form = ReasonForm(request.POST or None)
    if form.is_valid():
        act = form.act(request.user)
        if posting := attempt(form, write_off_lot, lot=lot, act=act):
            say(request, _("%(mass)s of %(lot)s written off. %(number)s."), lot, posting)
            return redirect(lot.bin or lot)
    return page(
        request, "inventory/lots/write_off.html", act_on(lot, _("%(lot)s was found empty")), form
    )


@allows("hold.place")
def hold(request, code):
    lot = lot_or_404(code)
    form = ReasonForm(request.POST or None)
    if form.is_valid() and attempt(form, hold_lot, lot=lot, act=form.act(request.user)):
        messages.success(request, _("%(lot)s is on hold now.") % {"lot": lot_label(lot)})
        return redirect(lot.bin or lot)
    return page(request, "inventory/lots/hold.html", act_on(lot, _("Put %(lot)s on hold")), form)


@allows("lot.identify")
def identify(request, code):
    lot = lot_or_404(code)
    form = IdentifyForm(request.POST or None)
    if form.is_valid():
        answers = {name: form.cleaned_data[name] for name in ("polymer", "identified_by")}
        if attempt(form, identify_lot, lot=lot, act=form.act(request.user), **answers):
            sentence = _("%(lot)s is %(polymer)s now; its hold stays until it is lifted.")
            facts = {"lot": lot_label(lot), "polymer": answers["polymer"]}
            messages.success(request, f"{form.spelling_note} {sentence % facts}".strip())
            return redirect(lot)
    context = act_on(lot, _("Identify %(lot)s")) | {"polymers": Polymer.objects.all()}
    return page(request, "inventory/lots/identify.html", context, form)


def lot_or_404(code: str) -> Lot:
    if lot := lot_with_code(code):
        return lot
    raise Http404


def context_of(lot: Lot) -> dict:
    return {"place": "bins" if lot.bin_id else "none", "lot": lot, "name": lot_label(lot)}


def act_on(lot: Lot, heading: str) -> dict:
    return context_of(lot) | {"heading": heading % {"lot": lot_label(lot)}}


def say(request, sentence, lot, posting, bin=None):
    mass = bulk(mass_moved(posting), 3)
    facts = {"mass": mass, "lot": lot_label(lot), "bin": bin, "number": posting.number}
    messages.success(request, sentence % facts)
