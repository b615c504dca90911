"""The page that sets the parts list of a design and its joints."""

from django.contrib import messages
from django.shortcuts import get_object_or_404, redirect
from django.utils.translation import gettext as _

from inventory.views.access import allows, attempt, page
from products.actions.assemblies import set_assembly
from products.forms.assemblies import AssemblyForm
from products.models import Design
from products.queries.assemblies import joint_rows, minutes_said, verdict_of
from products.queries.sentences import said


@allows("design.edit")
def edit(request, pk):
    design = get_object_or_404(Design.objects.prefetch_related("items__component", "joints"), pk=pk)
    form = AssemblyForm(request.POST or None, design=design)
    if form.is_valid():
        act, (items, joints) = form.act(request.user), form.plans()
        if attempt(form, set_assembly, design=design, items=items, joints=joints, act=act):
            messages.success(
                request, _("The parts list of %(name)s is set.") % {"name": design.name}
            )
            return redirect(design)
    context = {
        "place": "products",
        "design": design,
        "items": parted(form.item_rows()),
        "joints": parted(form.joint_rows()),
    }
    return page(request, "products/assemblies/edit.html", context, form)


def parted(rows: list[dict]) -> dict[str, list[dict]]:
    """Return rows as those to show and those that are tucked away."""
    return {
        "shown": [row for row in rows if not row["is_tucked"]],
        "tucked": [row for row in rows if row["is_tucked"]],
    }


def assembly_of(design: Design) -> dict:
    """Return what the page of a design shows of its parts list."""
    verdict = verdict_of(design)
    return {
        "items": list(design.items.all()),
        "joints": joint_rows(design),
        "answer": said(verdict.sentence),
        "reasons": [said(reason) for reason in verdict.reasons],
        "minutes": minutes_said(verdict.minutes) if verdict.minutes else "",
    }
