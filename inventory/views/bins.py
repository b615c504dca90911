"""The board of bins and the page of each."""

from django.contrib import messages
from django.http import Http404
from django.shortcuts import get_object_or_404, redirect
from django.urls import reverse
from django.utils.translation import gettext as _

from inventory.actions.bins import change_bin, create_bin, retire_bin
from inventory.forms.bins import BinFilter, BinForm, PutForm
from inventory.forms.fields import ActForm
from inventory.models import Bin
from inventory.queries.bins import (
    bin_card,
    bin_cards,
    bin_history,
    bins_coded,
    bins_with_mass,
    contents_of,
    filled,
    fitting_lots,
    latest_history,
)
from inventory.queries.counts import last_count, with_counted_at
from inventory.queries.lots import history_in_bin
from inventory.queries.rounds import stop_waiting
from inventory.views.access import allows, attempt, granted, page, reads
from inventory.views.listings import listing, paged

CONTENTS_PER_PAGE = 4


@reads
def board(request):
    filters = BinFilter(request.GET, queryset=with_counted_at(bins_with_mass()).order_by("name"))
    context = listing(request, filters, place="bins")
    context |= {"cards": bin_cards(list(context["page"])), "can": granted(request.user)}
    context["show_counted"] = request.GET.get("sort") == "counted"
    return page(request, "inventory/bins/board.html", context)


@reads
def detail(request, code):
    bin = next(iter(bins_coded(code)), None)
    if bin is None:
        raise Http404
    fill = filled(bin)
    context = {
        "place": "bins",
        "bin": bin,
        "card": bin_card(bin, fill),
        "fill": fill,
        "hold": fill.holds.open().first() if fill and fill.is_held else None,
        "entries": history_in_bin(bin, latest_history(bin)),
        "last": last_count(bin),
        "waiting": stop_waiting(bin),
        "can": granted(request.user),
    }
    return page(request, "inventory/bins/detail.html", context)


@reads
def history(request, code):
    bin = bin_with_code(code)
    shown = paged(request, contents_of(bin), per_page=CONTENTS_PER_PAGE)
    entries = history_in_bin(bin, bin_history(bin, list(shown)))
    context = {"place": "bins", "bin": bin, "page": shown, "entries": entries}
    return page(request, "inventory/bins/history.html", context)


@allows("bin.create")
def create(request):
    form = BinForm(request.POST or None)
    if form.is_valid():
        bin = attempt(form, create_bin, plan=form.plan(), act=form.act(request.user))
        if bin:
            messages.success(request, _("Bin %(bin)s is in use now.") % {"bin": bin})
            return redirect(bin)
    context = {"place": "bins", "bin": None, "back": reverse("inventory:bin-board")}
    return page(request, "inventory/bins/edit.html", context, form)


@allows("bin.edit")
def edit(request, code):
    bin = bin_with_code(code)
    form = BinForm(request.POST or None, initial=BinForm.initial_of(bin))
    if form.is_valid():
        act = form.act(request.user)
        if changed := attempt(form, change_bin, bin=bin, plan=form.plan(), act=act):
            messages.success(request, _("Bin %(bin)s was changed.") % {"bin": changed})
            return redirect(changed)
    context = {"place": "bins", "bin": bin, "back": bin.get_absolute_url()}
    return page(request, "inventory/bins/edit.html", context, form)


@allows("bin.retire")
def retire(request, code):
    bin = bin_with_code(code)
    form = ActForm(request.POST or None)
    if form.is_valid() and attempt(form, retire_bin, bin=bin, act=form.act(request.user)):
        messages.success(request, _("Bin %(bin)s is retired; its history stays.") % {"bin": bin})
        return redirect("inventory:bin-board")
    return page(request, "inventory/bins/retire.html", {"place": "bins", "bin": bin}, form)


@allows("lot.move")
def put(request, code):
    bin = bin_with_code(code)
    form = PutForm(request.GET if "code" in request.GET else None)
    if form.is_valid():
        lot = form.cleaned_data["code"]
        return redirect(f"{reverse('inventory:lot-move', args=[lot.code])}?bin={bin.code}")
    context = {"place": "bins", "bin": bin, "lots": fitting_lots(bin)}
    return page(request, "inventory/bins/put.html", context, form)


def bin_with_code(code: str) -> Bin:
    return get_object_or_404(bins_with_mass(), code=code)
