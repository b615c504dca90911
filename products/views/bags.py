"""The page by which a bag gives some of its pieces a code of their own."""

from django.contrib import messages
from django.shortcuts import get_object_or_404, redirect
from django.utils.translation import ngettext

from inventory.calculations.codes import group_code
from inventory.views.access import allows, attempt, page
from products.actions.bags import divide_bag
from products.forms.bags import DivideForm
from products.models import Part
from products.queries.parts import part_list
from products.queries.spoken_sheets import claims_on


@allows("part.divide")
def divide(request, code):
    bag = get_object_or_404(part_list(), code=code)
    form = DivideForm(request.POST or None, bag=bag)
    if form.is_valid():
        how = {"pieces": form.cleaned_data["pieces"], "is_confirmed": form.is_confirmed()}
        if part := attempt(form, divide_bag, bag=bag, act=form.act(request.user), **how):
            messages.success(request, given_message(part))
            return redirect(part)
    context = {"place": "products", "part": bag, "claims": claims_on(bag)}
    return page(request, "products/bags/divide.html", context, form)


def given_message(part: Part) -> str:
    """Return the sentence that says what the pieces are now, and what is to be done next."""
    said = ngettext(
        "%(count)s piece is part %(code)s now; print its label.",
        "%(count)s pieces are part %(code)s now; print its label.",
        part.pieces,
    )
    return said % {"count": part.pieces, "code": group_code(part.code)}
