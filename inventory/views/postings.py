"""The ledger: postings, and their reversal."""

from django.contrib import messages
from django.shortcuts import get_object_or_404, redirect
from django.utils.translation import gettext as _

from inventory.actions.postings import reverse_posting
from inventory.forms.fields import ReasonForm
from inventory.forms.postings import PostingFilter
from inventory.queries.corrections import movement_of, replacement_of
from inventory.queries.lots import transfer_lines
from inventory.queries.postings import posting_list, standing_in_the_way
from inventory.views.access import allows, attempt, granted, page, reads
from inventory.views.listings import Column, listing


@reads
def index(request):
    columns = [
        Column(_("Posting"), "recorded"),
        Column(_("What")),
        Column(_("Reference")),
        Column(_("Mass"), numeric=True),
        Column(_("When"), "happened"),
        Column(_("Who")),
    ]
    filters = PostingFilter(request.GET, queryset=posting_list())
    context = listing(request, filters, columns, place="none")
    return page(request, "inventory/postings/index.html", context)


@reads
def detail(request, uuid):
    return page(request, "inventory/postings/detail.html", context_of(request, uuid))


@allows("posting.reverse")
def reverse(request, uuid):
    context = context_of(request, uuid)
    posting = context["posting"]
    form = ReasonForm(request.POST or None)
    if form.is_valid():
        act = form.act(request.user)
        if mirror := attempt(form, reverse_posting, posting=posting, act=act):
            facts = {"number": posting.number, "mirror": mirror.number}
            messages.success(request, _("%(number)s was reversed by %(mirror)s.") % facts)
            return redirect(mirror)
    return page(request, "inventory/postings/reverse.html", context, form)


def context_of(request, uuid) -> dict:
    posting = get_object_or_404(posting_list(), uuid=uuid)
    return {
        "place": "none",
        "posting": posting,
        "lines": transfer_lines(posting),
        "hindrances": standing_in_the_way(posting),
        "stands": replacement_of(posting),
        "can_be_corrected": movement_of(posting) is not None,
        "can": granted(request.user),
    }
