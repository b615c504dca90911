"""Steps of a cycle are started; the next one, or a stop, ends the last."""

from django.db import transaction
from django.utils.translation import gettext_lazy as _

from inventory.actions.acts import Act, earlier
from inventory.actions.changes import outcome_of
from inventory.actions.refusals import refusal
from workshop.actions.moments import add_moment, making_run, working_run
from workshop.calculations.steps import STEPS
from workshop.models import Run, Step
from workshop.queries.steps import running_step


@transaction.atomic
def start_step(*, run: Run, name: str, act: Act) -> Step:
    """Start a step of the cycle; the one that runs ends with it.

    Refuses `wrong-step` when the operation has none of that name, `run-closed`, `paused`,
    `too-early`. A repeated UUID changes nothing.
    """
    request = act.request("start step", run=run, name=name)
    if done := earlier(act, request):
        return outcome_of(done, Step)
    run = working_run(run, act)
    if name not in STEPS[run.operation]:
        raise refusal("wrong-step", _("This operation has no such step; choose one of its own."))
    return add_moment(Step, run=run, act=act, request=request, name=name)


@transaction.atomic
def stop_step(*, run: Run, act: Act) -> Step:
    """Stop the step that runs, with none after it.

    Refuses `no-step` when none runs, `run-closed`, `too-early`. A repeated UUID changes nothing.
    """
    request = act.request("stop step", run=run)
    if done := earlier(act, request):
        return outcome_of(done, Step)
    run = making_run(run, act)
    if running_step(run) is None:
        raise refusal("no-step", _("No step is running; start one."))
    return add_moment(Step, run=run, act=act, request=request)
