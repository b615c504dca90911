"""Traces: where a lot came from, step by step, and where it went."""

from urllib.parse import quote

from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _

from inventory.forms.pasts import PastForm
from inventory.forms.traces import TraceForm
from inventory.models import Lot
from inventory.queries.family_trees import Together, picture_of
from inventory.queries.foreign_origins import elsewhere
from inventory.queries.lot_names import lot_names
from inventory.queries.lots import charges_of_run, lot_label, recent_lots
from inventory.queries.pasts import edges_back_then, lot_named_then, lot_then
from inventory.queries.trace_postings import postings_named, trace_postings
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
    charges = charges_of_run(request.GET.get("code", ""))
    if len(charges) == 1:
        return followed(request, charges[0])
    if charges:
        return start_page(request, TraceForm(initial=request.GET.dict()), charges)
    form = TraceForm(request.GET if "code" in request.GET else None)
    if form.is_valid():
        return followed(request, form.cleaned_data["code"])
    return start_page(request, form)


def followed(request, lot: Lot):
    """Lead to the trace of a lot, at the moment that was chosen."""
    query = query_without(request, "code").urlencode()
    address = reverse("inventory:trace", args=[lot.code])
    return redirect(f"{address}?{query}" if query else address)


def start_page(request, form, charges=()):
    parts = recent_lots(Lot.Kind.PART)
    names = lot_names(parts)
    recent = {
        "deliveries": recent_lots(Lot.Kind.DELIVERY),
        "parts": [(lot, names.get(lot.pk, "")) for lot in parts],
    }
    context = recent | {"place": "trace", "form": form, "charges": charges}
    context["query"] = query_without(request, "code").urlencode()
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
        "elsewhere": elsewhere({row.pk: row.share for row in origins}, most=SHOWN),
        "origin_count": len(origins),
        "steps": steps_into(keys[:STEPS_SHOWN], past=past),
        "step_count": len(keys),
        "uses": with_makers(uses[:SHOWN]),
        "use_count": len(uses),
        "thing": lot_names([lot]).get(lot.pk, ""),
    }
    return page(request, "inventory/traces/detail.html", context)


@of_lot
def picture(request, lot, context):
    return drawn(request, lot, context, is_forward=False)


@of_lot
def picture_forward(request, lot, context):
    return drawn(request, lot, context, is_forward=True)


def drawn(request, lot, context, *, is_forward: bool):
    """Draw what is behind a lot, or what is ahead of it; the address keeps the moment and what was opened."""
    opened = frozenset(request.GET.getlist("open"))
    together = request.GET.get("together", "")
    past = context["past"]
    shown = picture_of(lot, together=together, opened=opened, is_forward=is_forward, past=past)
    moment = query_without(request, "page", "together", "open").urlencode()
    kept = f"&{moment}" if moment else ""
    groups = "".join(f"&open={quote(name)}" for name in sorted(opened))
    context |= {"picture": shown, "ways": Together.choices, "opened": kept + groups}
    context |= {"is_forward": is_forward, "query": moment, "kept": kept}
    return page(request, "inventory/traces/picture.html", context)


@of_lot
def postings(request, lot, context):
    return listed(request, lot, context | {"title": _("Postings behind it")}, is_forward=False)


@of_lot
def postings_forward(request, lot, context):
    return listed(request, lot, context | {"title": _("Postings ahead of it")}, is_forward=True)


def listed(request, lot, context, *, is_forward: bool):
    """List the postings that moved what is behind a lot, or what is ahead of it."""
    keys = trace_postings(lot, is_forward=is_forward, past=context["past"])
    shown = numbered(request, keys, per_page=PER_PAGE)
    context |= {"page": shown, "postings": postings_named(list(shown))}
    return page(request, "inventory/traces/postings.html", context)


@of_lot
def origins(request, lot, context):
    shown = numbered(request, origins_of(lot, past=context["past"]), per_page=PER_PAGE)
    rows = list(shown)
    documented = elsewhere({row.pk: row.share for row in rows}, most=0).lots
    context |= {"title": _("Where it came from"), "page": shown, "origins": rows}
    context["documented"] = documented
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
