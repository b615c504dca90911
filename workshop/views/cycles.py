"""Taps that count a cycle and take one back."""

from django.shortcuts import redirect

from inventory.views.access import allows, attempt
from workshop.actions.cycles import count_cycle, undo_cycle
from workshop.forms.cycles import UndoForm
from workshop.forms.moments import TapForm
from workshop.views.makings import answered
from workshop.views.runs import named_run


@allows("run.make")
def count(request, code):
    run = named_run(code)
    if request.method != "POST":
        return redirect("workshop:run-make", run.code)
    form = TapForm(request.POST)
    done = form.is_valid() and attempt(form, count_cycle, run=run, act=form.act(request.user))
    return answered(request, run, form, done)


@allows("run.make")
def undo(request, code):
    run = named_run(code)
    if request.method != "POST":
        return redirect("workshop:run-make", run.code)
    form = UndoForm(request.POST)
    done = form.is_valid() and attempt(
        form, undo_cycle, run=run, cycle=form.cleaned_data["cycle"], act=form.act(request.user)
    )
    return answered(request, run, form, done)
