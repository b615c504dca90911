"""What things cost: what holds today, setting it, and the history."""

from django.contrib import messages
from django.http import Http404
from django.shortcuts import get_object_or_404, redirect
from django.utils import timezone
from django.utils.translation import gettext as _

from inventory.actions.prices import set_currency
from inventory.queries.prices import currency_list, currency_on
from inventory.views.access import allows, attempt, granted, page, reads
from inventory.views.listings import paged
from workshop.actions.rates import set_rate
from workshop.calculations.rates import MACHINE, RATES, WORKSHOP, holding
from workshop.forms.rates import CurrencyForm, RateForm
from workshop.models import Machine, Tooling
from workshop.queries.rates import RateLine, rate_board, rate_list, set_rates


@reads
def index(request):
    board = rate_board(timezone.localdate())
    context = {"place": "none", "board": board, "may": granted(request.user)}
    return page(request, "workshop/rates/index.html", context)


@reads
def history(request):
    context = {"place": "none", "page": paged(request, rate_list()), "query": ""}
    context["currencies"] = currency_list()
    return page(request, "workshop/rates/history.html", context)


@allows("rate.set")
def currency(request):
    form = CurrencyForm(request.POST or None)
    if form.is_valid():
        sent = {"code": form.cleaned_data["code"], "holds_from": form.cleaned_data["holds_from"]}
        if row := attempt(form, set_currency, act=form.act(request.user), **sent):
            messages.success(request, _("Prices are in %(code)s now.") % {"code": row.code})
            return redirect("workshop:rate-list")
    return page(request, "workshop/rates/currency.html", {"place": "none"}, form)


@allows("rate.set")
def edit(request, slug, pk=None):
    line = line_named(slug, pk)
    form = RateForm(request.POST or None, line=line)
    if form.is_valid():
        sent = {name: form.cleaned_data[name] for name in ("amount", "holds_from")}
        act = form.act(request.user)
        if attempt(form, set_rate, name=slug, thing=line.thing, act=act, **sent):
            messages.success(request, _("Written down: %(what)s.") % {"what": line.label})
            return redirect("workshop:rate-list")
    return page(request, "workshop/rates/edit.html", {"place": "none", "line": line}, form)


def line_named(name: str, pk: int | None) -> RateLine:
    """Return the rate of a name, of a machine or of tooling, as it holds today, or answer 404."""
    rule = RATES.get(name)
    if rule is None or (rule.of == WORKSHOP) != (pk is None):
        raise Http404(_("There is no such rate."))
    model = Machine if rule.of == MACHINE else Tooling
    thing = None if pk is None else get_object_or_404(model, pk=pk)
    today = timezone.localdate()
    return RateLine(name, thing, holding(set_rates(), today).get((name, pk)), currency_on(today))
