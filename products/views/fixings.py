"""Pages that put a part into another and take it out, and what the page of a part says of it."""

from django.contrib import messages
from django.shortcuts import get_object_or_404, redirect
from django.utils.translation import gettext as _

from inventory.calculations.codes import group_code
from inventory.queries.access import may
from inventory.views.access import allows, attempt, page
from products.actions.fixings import put_in, swap_part, take_out
from products.forms.fixings import PutInForm, SwapForm, TakeOutForm
from products.models import Fixing, Part
from products.queries.fixings import (
    MOST_FITTING,
    fixing_of,
    holders_above,
    holding_of,
    is_handed_over,
    loose_parts,
    parts_that_fit,
    past_fixings,
    places_of,
)
from products.queries.parts import PartState, part_list

MOST_PAST = 50
UNDONE = {"state": "reversed"}


def fixings_of(part: Part, user) -> dict:
    """Return what the page of a part says of what it holds, what it lacks, and in what it is."""
    holding = holding_of(part)
    is_free = part.state in {PartState.IN_STOCK, PartState.IN_PRODUCT}
    if is_free and part.held_in:
        is_free = not is_handed_over(holders_above(part))
    may_put_in = is_free and may(user, "part.put-in")
    return {
        "holding": holding,
        "held_by": fixing_of(part) if part.held_in else None,
        "past": past_entries(past_fixings(part)[:MOST_PAST], whole="holder"),
        "places": past_entries(places_of(part)[:MOST_PAST], whole="part"),
        "put_in_form": PutInForm(place=part) if may_put_in and holding.lacking else None,
        "is_out_with_it": bool(part.held_in) and not is_free,
        "may_take_out": is_free and may(user, "part.take-out"),
    }


def past_entries(fixings, *, whole: str) -> list[dict]:
    """Return fixings as a timeline, the newest first: what came in and out, or where a part was.

    A part whose making was reversed since has no page; its entries are struck out.
    """
    entries = []
    for fixing in fixings:
        other = fixing.part if whole == "holder" else fixing.holder
        facts = {"url": other.get_absolute_url()} if other.lot.in_mg else UNDONE
        name = named(other)
        if fixing.taken_out_at:
            what = _("Taken out: %(name)s") if whole == "holder" else _("Taken out of %(name)s")
            out = {"happened_at": fixing.taken_out_at, "note": fixing.state_when_taken_out}
            who = fixing.taken_out_by.get_username()
            entries.append(facts | out | {"what": what % {"name": name}, "who": who})
        what = _("Put in: %(name)s") if whole == "holder" else _("Put into %(name)s")
        put = {"happened_at": fixing.put_in_at, "who": fixing.put_in_by.get_username()}
        entries.append(facts | put | {"what": what % {"name": name}})
    return sorted(entries, key=lambda entry: entry["happened_at"], reverse=True)


def named(part: Part) -> str:
    """Return what people call a part: its design, and its code in groups."""
    return f"{part.design.name} {group_code(part.code)}"


@allows("part.put-in")
def put_into(request, code):
    holder = get_object_or_404(part_list(), code=code)
    asked = {"part": group_code(request.GET.get("part", "")[:40])}
    form = PutInForm(request.POST or None, place=holder, initial=asked)
    if form.is_valid():
        act, sent = form.act(request.user), said_in(form, "part", "pieces")
        sent |= {"is_confirmed": form.is_confirmed()}
        if fixing := attempt(form, put_in, holder=holder, act=act, **sent):
            messages.success(request, put_in_message(fixing))
            return redirect(holder)
    holding = holding_of(holder)
    context = {
        "place": "products",
        "part": holder,
        "holding": holding,
        "fitting": parts_that_fit(holding),
    }
    return page(request, "products/fixings/put_in.html", context, form)


def said_in(form, *names: str) -> dict:
    """Return what a valid form says of some fields; what it does not ask for is None."""
    return {name: form.cleaned_data.get(name) for name in names}


def put_in_message(fixing: Fixing) -> str:
    """Return the sentence that says what is where now."""
    facts = {"part": named(fixing.part), "holder": named(fixing.holder)}
    return _("%(part)s is in %(holder)s.") % facts


@allows("part.take-out")
def take_from(request, code):
    part = get_object_or_404(part_list(), code=code)
    fixing = fixing_of(part)
    form = TakeOutForm(request.POST or None, part=part)
    if form.is_valid():
        act, sent = form.act(request.user), said_in(form, "state", "pieces")
        if done := attempt(form, take_out, part=part, act=act, **sent):
            facts = {"part": named(done.part), "holder": named(done.holder)}
            messages.success(request, _("%(part)s is out of %(holder)s.") % facts)
            return redirect(done.holder)
    context = {"place": "products", "part": part, "fixing": fixing}
    return page(request, "products/fixings/take_out.html", context, form)


@allows("part.swap")
def swap(request, code):
    part = get_object_or_404(part_list(), code=code)
    asked = {"part": group_code(request.GET.get("part", "")[:40])}
    form = SwapForm(request.POST or None, place=part, initial=asked)
    if form.is_valid():
        act, sent = form.act(request.user), {"state": form.said_of_it()}
        sent |= {"new": form.cleaned_data["part"], "pieces": form.cleaned_data.get("pieces")}
        sent |= {"is_confirmed": form.is_confirmed()}
        if done := attempt(form, swap_part, part=part, act=act, **sent):
            messages.success(request, swap_message(part, done))
            return redirect(done.holder)
    context = {"place": "products", "part": part, "fixing": fixing_of(part)}
    context["fitting"] = list(loose_parts([part.design_id])[:MOST_FITTING])
    return page(request, "products/fixings/swap.html", context, form)


def swap_message(part: Part, fixing: Fixing) -> str:
    """Return the sentence that says what went in and what becomes of the other."""
    facts = {"old": named(part), "new": named(fixing.part), "holder": named(fixing.holder)}
    sentence = _("%(new)s is in %(holder)s; %(old)s is out and may be granulated.")
    return sentence % facts
