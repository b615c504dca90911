"""Recalls: where something bad is now, stopping all of it, and what became of the holds."""

from django.contrib import messages
from django.http import HttpResponse, StreamingHttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.utils.translation import gettext as _

from inventory.actions.recalls import lift_recall, start_recall
from inventory.forms.fields import ReasonForm
from inventory.queries.recalls import recall_list, whereabouts
from inventory.views.access import allows, attempt, granted, page, reads
from inventory.views.listings import Column, paged
from products.forms.recalls import LookForm, RecallForm
from products.queries.recalls import held_rows, holds_of, looked_for, named
from products.views.recall_papers import recall_csv, recall_pdf

MOST_SHOWN = 200


@reads
def index(request):
    columns = [
        Column(_("Recall")),
        Column(_("Why")),
        Column(_("Lots stopped"), numeric=True),
        Column(_("Still on hold"), numeric=True),
    ]
    context = {"place": "trace", "columns": columns, "page": paged(request, recall_list())}
    return page(request, "products/recalls/index.html", context | {"can": granted(request.user)})


@reads
def look(request):
    """Show who holds some of what is named, before anything is stopped."""
    form = LookForm(request.GET or None)
    context = {"place": "trace", "look": form, "can": granted(request.user)}
    if form.is_valid():
        context |= found_by(form) | {"form": RecallForm()}
    answer = page(request, "products/recalls/look.html", context)
    answer.status_code = 422 if form.errors else 200
    return answer


def found_by(form: LookForm) -> dict:
    """Return what the page of a look prints."""
    least = form.least_permille()
    found = whereabouts(form.cleaned_data["lots"], least_permille=least)
    return {
        "found": found,
        "rows": named(found.holders[:MOST_SHOWN]),
        "left_out": len(found.holders) - MOST_SHOWN,
        "lots": form.cleaned_data["lots"],
    }


@allows("recall.start")
def create(request):
    """Stop all of it; the answers to both forms come together, so that what is seen is what is stopped."""
    look = LookForm(request.POST or None)
    form = RecallForm(request.POST or None)
    if look.is_valid() and form.is_valid():
        facts = {"lots": look.cleaned_data["lots"], "least_permille": look.least_permille()}
        made = attempt(form, start_recall, **facts, act=form.act(request.user))
        if made:
            facts = {"number": made.number, "count": made.holds.count()}
            messages.success(request, _("%(number)s: %(count)s lots are on hold.") % facts)
            return redirect("products:recall-detail", made.pk)
    context = {"place": "trace", "look": look, "can": granted(request.user)}
    context |= found_by(look) if look.is_valid() else {}
    return page(request, "products/recalls/look.html", context, form)


@reads
def detail(request, pk):
    recall = get_object_or_404(recall_list(), pk=pk)
    shown = paged(request, holds_of(recall), per_page=50)
    context = {"place": "trace", "recall": recall, "page": shown, "can": granted(request.user)}
    context["looked"] = looked_for(recall)
    return page(request, "products/recalls/detail.html", context | {"rows": held_rows(list(shown))})


@allows("recall.lift")
def lift(request, pk):
    recall = get_object_or_404(recall_list(), pk=pk)
    form = ReasonForm(request.POST or None)
    if form.is_valid() and attempt(form, lift_recall, recall=recall, act=form.act(request.user)):
        messages.success(
            request, _("Every hold of %(number)s is lifted.") % {"number": recall.number}
        )
        return redirect("products:recall-detail", recall.pk)
    return page(request, "products/recalls/lift.html", {"place": "trace", "recall": recall}, form)


@reads
def download(request, pk, suffix):
    recall = get_object_or_404(recall_list(), pk=pk)
    name = f"{recall.number}.{suffix}"
    headers = {"Content-Disposition": f'attachment; filename="{name}"'}
    if suffix == "csv":  # may be long, so it is sent as it is read
        kind = "text/csv; charset=utf-8"
        return StreamingHttpResponse(recall_csv(recall), content_type=kind, headers=headers)
    return HttpResponse(recall_pdf(recall), content_type="application/pdf", headers=headers)
