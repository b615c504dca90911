"""Checkpoints: the list, making one, and the proofs between them."""

from django.contrib import messages
from django.shortcuts import get_object_or_404, redirect
from django.utils.translation import gettext as _

from inventory.actions.checkpoints import make_checkpoint
from inventory.forms.checkpoints import CheckpointForm
from inventory.queries.checkpoints import checkpoint_list, consistency_of, inclusion_of
from inventory.queries.postings import posting_list
from inventory.views.access import allows, attempt, granted, page, reads
from inventory.views.listings import Column, paged


@reads
def index(request):
    return page(request, "inventory/checkpoints/index.html", shown_list(request))


@allows("checkpoint.make")
def create(request):
    form = CheckpointForm(request.POST or None)
    if form.is_valid():
        made = attempt(form, make_checkpoint, key=form.cleaned_data["key"], by=request.user)
        if made:
            facts = {"number": made.number, "size": made.size}
            messages.success(request, _("%(number)s holds all %(size)s entries.") % facts)
            return redirect(made)
    return page(request, "inventory/checkpoints/index.html", shown_list(request), form)


def shown_list(request) -> dict:
    """Return what the list of checkpoints prints."""
    columns = [
        Column(_("Checkpoint")),
        Column(_("Made")),
        Column(_("Entries"), numeric=True),
        Column(_("Root")),
    ]
    shown = paged(request, checkpoint_list())
    return {
        "place": "none",
        "columns": columns,
        "page": shown,
        "can": granted(request.user),
        "form": CheckpointForm(),
    }


@reads
def detail(request, pk):
    checkpoint = get_object_or_404(checkpoint_list(), pk=pk)
    older = checkpoint_list().filter(size__lt=checkpoint.size).first()
    proof = consistency_of(older, checkpoint) if older else None
    context = {"place": "none", "checkpoint": checkpoint, "proof": proof}
    return page(request, "inventory/checkpoints/detail.html", context)


@reads
def proof(request, uuid):
    posting = get_object_or_404(posting_list(), uuid=uuid)
    context = {"place": "none", "posting": posting, "proof": inclusion_of(uuid)}
    context["can"] = granted(request.user)
    return page(request, "inventory/checkpoints/proof.html", context)
