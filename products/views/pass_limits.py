"""The page that sets how often melted material may be that goes into a design."""

from django.contrib import messages
from django.shortcuts import get_object_or_404, redirect
from django.utils.translation import gettext as _

from inventory.views.access import allows, attempt, page
from products.actions.pass_limits import set_pass_limit
from products.forms.pass_limits import PassLimitForm
from products.models import Design


@allows("design.edit")
def edit(request, pk):
    design = get_object_or_404(Design, pk=pk)
    form = PassLimitForm(request.POST or None, design=design)
    if form.is_valid():
        act, limit = form.act(request.user), form.limit()
        if attempt(form, set_pass_limit, design=design, limit=limit, act=act):
            sentence = _("The limit of %(name)s is set.") if limit else _("%(name)s has no limit.")
            messages.success(request, sentence % {"name": design.name})
            return redirect(design)
    context = {"place": "products", "design": design}
    return page(request, "products/pass_limits/edit.html", context, form)
