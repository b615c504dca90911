"""Traces: where a lot came from, step by step, and where it went."""

from urllib.parse import quote

from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _

from inventory.forms.pasts import PastForm
from inventory.forms.traces import TraceForm
from inventory.models import Lot
from inventory.queries.family_trees import Together, picture_of
from inventory.queries.lots import lot_label, recent_lots
from inventory.queries.pasts import edges_back_then, lot_named_then, lot_then
from inventory.queries.traces import (
    ancestor_edges,
    in_words,
    lots_behind,
    make_up_of,
    origins_of,
    steps_into,
    uses_of,
    with_makers,
)
from inventory.views.access import page, reads
from inventory.views.listings import numbered, query_without

SHOWN, STEPS_SHOWN = 50, 20
PER_PAGE, STEPS_PER_PAGE = 100, 40


@reads
def start(request):
    form = TraceForm(request.GET if "code" in request.GET else None)
    if form.is_valid():
        query = query_without(request, "code").urlencode()
        address = reverse("inventory:trace", args=[form.cleaned_data["code"].code])
        return redirect(f"{address}?{query}" if query else address)
    return start_page(request, form)


def start_page(request, form):
    recent = {"deliveries": recent_lots(Lot.Kind.DELIVERY), "parts": recent_lots(Lot.Kind.PART)}
    context = recent | {"place": "trace", "form": form}
    return render(
        request, "inventory/traces/start.html", context, status=404 if form.errors else 200
    )


def of_lot(view):
    """Hand the view the lot that the code names; another name of it leads to its own address."""

    @reads
    def named(request, code):
        moment = PastForm(request.GET or None)
        past = moment.past()
        lot = lot_named_then(code, past)
        if lot is None:
            return start_page(request, TraceForm(request.GET.dict() | {"code": code}))
        query = query_without(request, "page").urlencode()
        if lot.code != code:
            address = reverse(request.resolver_match.view_name, args=[lot.code])
            return redirect(f"{address}?{query}" if query else address)
        context = {"place": "trace", "lot": lot_then(lot, past) if past else lot}
        context |= {"name": lot_label(lot), "moment": moment, "past": past, "query": query}
        return view(request, lot, context)

    return named


@of_lot
def detail(request, lot, context):
    past = context["past"]
    edges = edges_back_then(lot, past) if past else ancestor_edges(lot)
    origins, keys = origins_of(lot, edges, past=past), lots_behind(edges)
    uses = uses_of(lot, past=past)
    context |= {
        "make_up": in_words(make_up_of(lot, edges, past=past)),
        "origins": origins[:SHOWN],
        "origin_count": len(origins),
        "steps": steps_into(keys[:STEPS_SHOWN], past=past),
        "step_count": len(keys),
        "uses": with_makers(uses[:SHOWN]),
        "use_count": len(uses),
    }
    return page(request, "inventory/traces/detail.html", context)


@of_lot
def picture(request, lot, context):
    opened = frozenset(request.GET.getlist("open"))
    shown = picture_of(lot, together=request.GET.get("together", ""), opened=opened)
    query = "".join(f"&open={quote(name)}" for name in sorted(opened))
    context |= {"picture": shown, "ways": Together.choices, "opened": query}
    return page(request, "inventory/traces/picture.html", context)


@of_lot
def origins(request, lot, context):
    shown = numbered(request, origins_of(lot, past=context["past"]), per_page=PER_PAGE)
    context |= {"title": _("Where it came from"), "page": shown, "origins": list(shown)}
    return page(request, "inventory/traces/origins.html", context)


@of_lot
def steps(request, lot, context):
    past = context["past"]
    edges = edges_back_then(lot, past) if past else ancestor_edges(lot)
    shown = numbered(request, lots_behind(edges), per_page=STEPS_PER_PAGE)
    context |= {"title": _("Step by step"), "page": shown}
    context["steps"] = steps_into(list(shown), past=past)
    return page(request, "inventory/traces/steps.html", context)


@of_lot
def uses(request, lot, context):
    shown = numbered(request, uses_of(lot, past=context["past"]), per_page=PER_PAGE)
    context |= {"title": _("Where it went"), "page": shown, "uses": with_makers(list(shown))}
    return page(request, "inventory/traces/uses.html", context)
