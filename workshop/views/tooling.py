"""Pages of tooling."""

from django.contrib import messages
from django.shortcuts import get_object_or_404, redirect
from django.utils.timezone import localdate
from django.utils.translation import gettext as _

from inventory.queries.postings import LONGEST_NUMBER
from inventory.views.access import allows, attempt, granted, page, reads
from products.models import Design
from workshop.actions.machines import save_tooling
from workshop.forms.machines import ToolingForm
from workshop.models import Tooling
from workshop.queries.machines import tooling_list


@reads
def index(request):
    asked = request.GET.get("design", "")
    is_key = asked.isdecimal() and len(asked) <= LONGEST_NUMBER
    design = Design.objects.filter(pk=asked).first() if is_key else None
    tooling = tooling_list(design)
    context = {"place": "none", "tooling": tooling, "design": design, "today": localdate()}
    context["may"] = granted(request.user)
    return page(request, "workshop/tooling/index.html", context)


@allows("machine.edit")
def create(request):
    return written(request, None, ToolingForm(request.POST or None))


@allows("machine.edit")
def edit(request, pk):
    tooling = get_object_or_404(Tooling, pk=pk)
    return written(request, tooling, ToolingForm(request.POST or None, tooling=tooling))


def written(request, tooling: Tooling | None, form: ToolingForm):
    """Show the form of tooling, and write it when it was sent."""
    if form.is_valid():
        fields, act = form.fields_of_tooling(), form.act(request.user)
        designs = form.cleaned_data["designs"]
        saved = attempt(
            form, save_tooling, fields=fields, act=act, tooling=tooling, designs=designs
        )
        if saved:
            messages.success(request, _("%(name)s is written down.") % {"name": saved.name})
            return redirect("workshop:tooling-list")
    title = _("Change %(name)s") % {"name": tooling.name} if tooling else _("New tooling")
    return page(request, "workshop/tooling/edit.html", {"place": "none", "title": title}, form)
