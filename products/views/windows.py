"""The page that sets the windows of a design."""

from django.contrib import messages
from django.shortcuts import get_object_or_404, redirect
from django.utils.translation import gettext as _

from inventory.views.access import allows, attempt, page
from products.actions.windows import set_windows
from products.forms.windows import WindowsForm
from products.models import Design


@allows("design.edit")
def edit(request, pk):
    design = get_object_or_404(Design, pk=pk)
    form = WindowsForm(request.POST or None, design=design)
    if form.is_valid():
        act, windows = form.act(request.user), form.windows()
        if attempt(form, set_windows, design=design, windows=windows, act=act):
            messages.success(request, _("The windows of %(name)s are set.") % {"name": design.name})
            return redirect(design)
    context = {"place": "products", "design": design, "rows": form.rows()}
    return page(request, "products/windows/edit.html", context, form)
