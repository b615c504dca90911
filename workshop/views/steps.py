"""Taps that start a step and stop one."""

from django.shortcuts import redirect

from inventory.views.access import allows, attempt
from workshop.actions.steps import start_step, stop_step
from workshop.forms.moments import TapForm
from workshop.forms.steps import StepForm
from workshop.views.makings import answered
from workshop.views.runs import named_run


@allows("run.make")
def start(request, code):
    run = named_run(code)
    if request.method != "POST":
        return redirect("workshop:run-make", run.code)
    form = StepForm(request.POST, operation=run.operation)
    done = form.is_valid() and attempt(
        form, start_step, run=run, name=form.cleaned_data["name"], act=form.act(request.user)
    )
    return answered(request, run, form, done)


@allows("run.make")
def stop(request, code):
    run = named_run(code)
    if request.method != "POST":
        return redirect("workshop:run-make", run.code)
    form = TapForm(request.POST)
    done = form.is_valid() and attempt(form, stop_step, run=run, act=form.act(request.user))
    return answered(request, run, form, done)
