"""Passports that a correction made stale, issued anew in one act."""

from django.contrib import messages
from django.shortcuts import redirect
from django.utils.translation import gettext as _

from inventory.queries.corrections import postings_of_correction
from inventory.queries.postings import posting_numbered
from inventory.views.access import allows, attempt, page
from products.actions.corrections import reissue_passports
from products.forms.corrections import ReissueForm
from products.models import Part
from products.queries.corrections import stale_after
from products.queries.stale_passports import stale_passports


@allows("passport.issue")
def reissue(request):
    rows = stale_rows(request)
    form = ReissueForm(request.POST or None)
    if form.is_valid():
        parts = Part.objects.filter(code__in=request.POST.getlist("part"))
        act = form.act(request.user)
        issued = attempt(form, reissue_passports, parts=parts, act=act)
        if issued:
            sentence = _("%(count)s passports are issued anew.") % {"count": len(issued)}
            messages.success(request, sentence)
            return redirect("products:passport-stale")
    context = {"place": "products", "rows": rows}
    return page(request, "products/corrections/reissue.html", context, form)


def stale_rows(request) -> list:
    """Return the parts to issue anew: those of one correction, or all of them."""
    head = posting_numbered(request.GET.get("after", ""))
    return stale_after(postings_of_correction(head)) if head else stale_passports()
