"""Printing labels: the sheet before it is printed, the record of it, and its PDF."""

from collections import Counter

from django.http import Http404
from django.shortcuts import get_object_or_404, redirect

from inventory.views.access import allows, attempt, granted, page, reads
from inventory.views.listings import query_without
from products.actions.labels import print_labels
from products.calculations.label_geometry import GridError, positions
from products.calculations.qr_codes import AddressError
from products.forms.labels import PrintForm, note_sentence, row_names, things_asked
from products.models import Label, LabelGrid
from products.queries.addresses import differing_address
from products.queries.labels import printed_before, printed_labels, printing_list, thing_on
from products.queries.sheets import is_open, outlook_of, preview_of, sheet_of
from products.queries.things import MOST_THINGS, Thing, found_things, name_of
from products.views.drawings import pdf, svg

SHOWN = 12


@allows("label.print")
def create(request):
    first = PrintForm.initial_of(things_asked(request.GET), request.GET)
    form = PrintForm(request.POST or None, initial=first)
    if form.is_valid() and "look" not in request.POST:
        data, act = form.cleaned_data, form.act(request.user)
        chosen = {name: data[name] for name in ("things", "grid", "start")}
        if printing := attempt(form, print_labels, act=act, **chosen):
            return redirect("products:printing-sheet", uuid=printing.uuid)
    context = {"place": "none", "differing": differing_address(), "can": granted(request.user)}
    return page(request, "products/labels/print.html", context | sheet_context(request, form), form)


def sheet_context(request, form: PrintForm) -> dict:
    """Return the sheet as it would be printed: its things, its picture and what to know of it."""
    data = getattr(form, "cleaned_data", {})
    things = data.get("things") or [*map(thing_of_text, form.initial["things"].split())]
    grid = data.get("grid") or form.initial["grid"]
    rows = found_things(things[:MOST_THINGS])
    names = Counter(name_of(row) for row in rows.values())
    context = {
        "count": len(rows),
        "names": [told(name, count) for name, count in list(names.items())[:SHOWN]],
        "more": sum(list(names.values())[SHOWN:]),
        "only": next(iter(rows)) if len(rows) == 1 else None,
        "again": len(printed_before(rows)),
        "grid": grid,
    }
    if grid and rows:
        start = data.get("start") or form.initial["start"]
        start = start if 1 <= start <= grid.capacity else 1
        context |= {"start": start} | picture_context(request, list(rows), grid, start)
    return context


def told(name: str, count: int) -> str:
    """Return a name with how many things are called so, where they are several."""
    return f"{name} ({count})" if count > 1 else name


def thing_of_text(text: str) -> Thing:
    """Return the thing of a text that this page wrote."""
    kind, _colon, code = text.partition(":")
    return Thing(kind, code)


def picture_context(request, things: list[Thing], grid: LabelGrid, start: int) -> dict:
    """Return the places to begin at, the address of the preview, and what to know of the sheet."""
    query = query_without(request, "grid", "start")
    query["grid"] = grid.pk
    places = enumerate(positions(grid.geometry, grid.capacity), 1)
    context = {
        "places": [(number, *map(svg_mm, (place.x_mm, place.y_mm))) for number, place in places],
        "query": query.urlencode(),
    }
    try:
        outlook = outlook_of(things, grid, start)
    except AddressError:
        return context | {"no_address": True}
    return context | {
        "outlook": outlook,
        "notes": [note_sentence(note) for note in outlook.notes],
        "left_out": row_names(outlook.left_out),
        "cut": row_names(outlook.cut),
    }


def svg_mm(length: float) -> str:
    """Return a length as it stands in a drawing, whatever the reader's language writes."""
    return f"{length:.2f}"


@reads
def preview(request):
    first = PrintForm.initial_of([], request.GET)
    things = list(found_things(things_asked(request.GET)[:MOST_THINGS]))
    if not (things and first["grid"]):
        raise Http404
    try:
        return svg(preview_of(things, first["grid"], first["start"]))
    except (GridError, AddressError):
        raise Http404 from None


@reads
def detail(request, uuid):
    printing = get_object_or_404(printing_list(), uuid=uuid)
    labels = printed_labels(printing)
    context = {
        "place": "none",
        "printing": printing,
        "labels": named_labels(labels),
        "has_sheet": bool(labels and printing.grid_id),
        "is_open": is_open(printing),
        "can": granted(request.user),
    }
    return page(request, "products/labels/printing.html", context)


def named_labels(labels: list[Label]) -> list[tuple[Label, str]]:
    """Return labels with what people call the things they are on, in a few queries for all."""
    things = [thing_on(label) for label in labels]
    names = {thing.code: name_of(row) for thing, row in found_things(things).items()}
    return [(label, names.get(label.thing_code, "")) for label in labels]


@reads
def sheet(request, uuid):
    printing = get_object_or_404(printing_list(), uuid=uuid)
    if not is_open(printing):
        closed = detail(request, uuid)
        closed.status_code = 410
        return closed
    try:
        content = sheet_of(printing)
    except AddressError:
        content = None
    if content is None:
        raise Http404
    return pdf(content, f"labels-{printing.printed_at:%Y-%m-%d}-{str(printing.uuid)[:8]}.pdf")
