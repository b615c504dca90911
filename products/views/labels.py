"""Labels: what to print, the label itself, voiding and replacing it."""

from django.contrib import messages
from django.http import Http404
from django.shortcuts import get_object_or_404, redirect
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from inventory.queries.access import may
from inventory.views.access import allows, attempt, granted, page, reads
from inventory.views.listings import Column, listing, paged, query_without
from products.actions.labels import replace_label, void_label
from products.calculations.qr_codes import AddressError
from products.forms.labels import FILTERS, SizeForm, VoidForm, filtered
from products.models import Label
from products.queries.addresses import differing_address, printed_address
from products.queries.labels import (
    label_list,
    labels_of,
    live_labels,
    printing_list,
    printings_of,
    row_of,
    thing_on,
)
from products.queries.sheets import single_png, single_svg
from products.queries.things import MOST_THINGS, Thing, found_things, name_of, rows_of
from products.views.drawings import drawing, svg

KINDS = {
    "bin": gettext_lazy("Bins"),
    "delivery": gettext_lazy("Deliveries"),
    "part": gettext_lazy("Parts, sheets and bags"),
    "lot": gettext_lazy("Lots"),
}
COLUMNS = (
    Column(gettext_lazy("Print")),
    Column(gettext_lazy("What")),
    Column(gettext_lazy("Material")),
    Column(gettext_lazy("Label")),
)


@reads
def index(request):
    context = {
        "place": "none",
        "kinds": KINDS.items(),
        "page": paged(request, printing_list()),
        "address": printed_address(),
        "differing": differing_address(),
        "can": granted(request.user),
    }
    return page(request, "products/labels/index.html", context)


@reads
def choose(request, slug):
    if slug not in FILTERS:
        raise Http404
    context = listing(request, filtered(slug, request.GET), COLUMNS, place="none")
    context |= {
        "kind": slug,
        "title": KINDS[slug],
        "rows": choices(
            slug, [row.code for row in context["page"]], are_ticked="all" in request.GET
        ),
        "filtered": query_without(request, "page", "all", "sort").urlencode(),
        "found": context["filter"].qs.order_by()[: MOST_THINGS + 1].count(),
        "most": MOST_THINGS,
        "can": granted(request.user),
    }
    return page(request, "products/labels/choose.html", context)


def choices(kind: str, codes: list[str], *, are_ticked: bool) -> list[dict]:
    """Return things with what their row shows: material, and whether they have a label."""
    rows = {row.code: row for row in rows_of(kind).filter(code__in=codes)}
    shown = [(Thing(kind, code), rows[code]) for code in codes if code in rows]
    settled = {thing.code: thing for thing in found_things(thing for thing, _row in shown)}
    live = live_labels(labels_of(settled.values()))
    return [
        {
            "thing": thing,
            "name": name_of(row),
            "row": row,
            "material": getattr(row, "lot", None) or row,
            "label": live.get(settled[thing.code]),
            "ticked": are_ticked,
        }
        for thing, row in shown
    ]


@reads
def of_thing(request, slug, code):
    rows = found_things([Thing(slug, code)]) if slug in FILTERS else {}
    if not rows:
        raise Http404
    ((thing, row),) = rows.items()
    labels = labels_of([thing])[thing]
    context = thing_context(request, thing, row) | {"labels": labels}
    if live := live_labels({thing: labels}).get(thing):
        return redirect(live)
    return page(request, "products/labels/none.html", context)


@reads
def detail(request, code):
    label = label_with_code(code)
    thing = thing_on(label)
    row = next(iter(found_things([thing]).values()), None)
    context = thing_context(request, thing, row) | {
        "label": label,
        "printings": printings_of(label),
        "others": [each for each in labels_of([thing])[thing] if each != label],
    }
    return page(request, "products/labels/detail.html", context)


def thing_context(request, thing: Thing, row) -> dict:
    """Return what a page about the labels of one thing shows of it."""
    return {
        "place": "none",
        "thing": thing,
        "row": row,
        "name": name_of(row) if row else "",
        "can": granted(request.user),
        "may_print": may(request.user, "label.print"),
    }


def label_with_code(code: str) -> Label:
    """Return the label of a code, or answer 404."""
    return get_object_or_404(label_list(), code=code)


@allows("label.void")
def void(request, code):
    label = label_with_code(code)
    form = VoidForm(request.POST or None)
    if form.is_valid() and attempt(form, void_label, label=label, act=form.act(request.user)):
        messages.success(request, _("The label is void; whoever scans it is told so."))
        return redirect(label)
    sentence = _(
        "Whoever scans it is told that it no longer counts. The thing itself stays as it is."
    )
    words = {"said": _("Void the label"), "sentence": sentence, "kind": "danger"}
    return page(request, "products/labels/void.html", ending(label) | words, form)


@allows("label.void")
def replace(request, code):
    label = label_with_code(code)
    form = VoidForm(request.POST or None)
    if form.is_valid():
        new = attempt(form, replace_label, label=label, act=form.act(request.user))
        if new:
            messages.success(request, _("The new label has a code of its own; print it now."))
            return redirect(new)
    sentence = _(
        "The old label becomes void, and the thing gets one with a new code. "
        "Print it and take the old one off."
    )
    words = {"said": _("Replace the label"), "sentence": sentence, "kind": "primary"}
    return page(request, "products/labels/void.html", ending(label) | words, form)


def ending(label: Label) -> dict:
    """Return what a page that voids a label shows of it."""
    row = row_of(thing_on(label))
    return {"place": "none", "label": label, "on": name_of(row) if row else ""}


@reads
def single(request, code, suffix):
    label, form = label_with_code(code), SizeForm(request.GET)
    if label.voided_at or not form.is_valid():
        raise Http404
    size = form.size()
    name = f"{label.code}.{suffix}"
    try:
        if suffix == "png":
            return drawing(single_png(label, **size), "image/png", name=name)
        return svg(
            single_svg(label, width_mm=size["width_mm"], height_mm=size["height_mm"]), name=name
        )
    except (AddressError, ValueError):
        raise Http404 from None
