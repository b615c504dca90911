"""Pausing a run and resuming it."""

from django.shortcuts import redirect

from inventory.views.access import allows, attempt
from workshop.actions.pauses import pause_run, resume_run
from workshop.forms.moments import TapForm
from workshop.forms.pauses import PauseForm
from workshop.views.makings import answered
from workshop.views.runs import named_run


@allows("run.make")
def pause(request, code):
    run = named_run(code)
    if request.method != "POST":
        return redirect("workshop:run-make", run.code)
    form = PauseForm(request.POST)
    done = form.is_valid() and attempt(
        form,
        pause_run,
        run=run,
        reason=form.cleaned_data["why"],
        note=form.cleaned_data["note"],
        act=form.act(request.user),
    )
    return answered(request, run, form, done, pauses=True)


@allows("run.make")
def resume(request, code):
    run = named_run(code)
    if request.method != "POST":
        return redirect("workshop:run-make", run.code)
    form = TapForm(request.POST)
    done = form.is_valid() and attempt(form, resume_run, run=run, act=form.act(request.user))
    return answered(request, run, form, done, pauses=True)
