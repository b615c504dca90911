"""The page that sets the route of a design."""

from django.contrib import messages
from django.shortcuts import get_object_or_404, redirect
from django.utils.translation import gettext as _

from inventory.views.access import allows, attempt, page
from products.actions.routes import set_route
from products.forms.routes import RouteForm
from products.models import Design, Work


@allows("design.edit")
def edit(request, pk):
    design = get_object_or_404(Design, pk=pk)
    form = RouteForm(request.POST or None, design=design)
    if form.is_valid():
        act, route = form.act(request.user), form.route()
        if attempt(form, set_route, design=design, route=route, act=act):
            messages.success(request, _("The route of %(name)s is set.") % {"name": design.name})
            return redirect(design)
    context = {"place": "products", "design": design, "rows": form.rows()}
    return page(request, "products/routes/edit.html", context, form)


def route_of(design: Design) -> list[dict]:
    """Return what the page of a design shows of its route."""
    return [
        {"work": line["work"], "said": Work(line["work"]).label, "note": line["note"]}
        for line in design.route
    ]
