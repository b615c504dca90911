"""Noting what a meter of energy shows."""

from django.contrib import messages
from django.shortcuts import redirect
from django.utils.translation import gettext as _

from inventory.views.access import allows, attempt, page
from workshop.actions.meterings import note_meter
from workshop.forms.meterings import MeteringForm
from workshop.views.run_costs import PAGE, cost_page
from workshop.views.runs import named_run


@allows("run.meter")
def note(request, code):
    run = named_run(code)
    if request.method != "POST":
        return redirect("workshop:run-costs", run.code)
    form = MeteringForm(request.POST)
    sent = {name: form.cleaned_data[name] for name in ("what", "kwh")} if form.is_valid() else {}
    if sent and attempt(form, note_meter, run=run, act=form.act(request.user), **sent):
        messages.success(request, _("The meter of %(run)s is noted.") % {"run": run.number})
        return redirect("workshop:run-costs", run.code)
    return page(request, PAGE, cost_page(request, run), form)
