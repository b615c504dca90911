"""Noting what the machine shows."""

from django.contrib import messages
from django.shortcuts import redirect
from django.utils.translation import gettext as _

from inventory.views.access import allows, attempt, page
from workshop.actions.readings import note_reading
from workshop.forms.readings import ReadingForm
from workshop.models import Reading, Run
from workshop.queries.readings import Gauge, gauges_of
from workshop.views.making_texts import PLACES, reading_text
from workshop.views.makings import fragment, noted, reading_row, whole_page
from workshop.views.runs import named_run


@allows("run.make")
def note(request, code):
    run = named_run(code)
    if request.method != "POST":
        return redirect("workshop:run-make", run.code)
    gauge = gauge_named(run, request.POST.get("quantity"))
    # What waited on a tablet has nobody to ask; it is marked all the same.
    asks = request.headers.get("X-Queued", "now") == "now"
    form = ReadingForm(request.POST, gauge=gauge, asks=asks, auto_id=f"{gauge.quantity.value}-%s")
    reading = form.is_valid() and attempt(form, note_reading, **noting(run, form, request.user))
    if request.htmx:
        return row_answer(request, run, gauge, form)
    if reading:
        messages.success(request, told(reading))
        return redirect("workshop:run-make", run.code)
    return page(request, "workshop/makings/detail.html", whole_page(request, run, form), form)


def noting(run: Run, form: ReadingForm, by) -> dict:
    """Return the arguments of the action."""
    sent = form.cleaned_data
    facts = {"quantity": sent["quantity"], "value": sent["value"]}
    return {"run": run, "act": form.act(by)} | facts


def gauge_named(run: Run, quantity: str | None) -> Gauge:
    """Return what is read, or the run's first quantity when it has none of that name."""
    gauges = gauges_of(run)
    return next((each for each in gauges if each.quantity == quantity), gauges[0])


def row_answer(request, run: Run, gauge: Gauge, form: ReadingForm):
    """Answer with the line of the quantity, the cautions and the list of what happened."""
    gauges = gauges_of(run)
    now = next(each for each in gauges if each.quantity == gauge.quantity)
    row = reading_row(now, form if form.errors else None)
    context = {"run": run, "row": row, "may_make": True, "oob": True} | noted(run, gauges)
    return fragment(request, "workshop/makings/_noted.html", context, form)


def told(reading: Reading) -> str:
    """Return the sentence that says what was noted."""
    facts = {"quantity": reading.get_quantity_display(), "value": reading_text(reading)}
    sentence = _("Noted: %(quantity)s %(value)s") % facts
    return f"{sentence}, {PLACES[reading.place]}." if reading.place else f"{sentence}."
