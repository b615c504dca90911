"""A run pauses with a reason, and is resumed."""

from django.db import transaction
from django.utils.translation import gettext_lazy as _

from inventory.actions.acts import Act, earlier
from inventory.actions.changes import outcome_of
from inventory.actions.refusals import refusal
from workshop.actions.moments import add_moment, making_run, working_run
from workshop.models import Pause, Run
from workshop.queries.pauses import open_pause


@transaction.atomic
def pause_run(*, run: Run, reason: str, act: Act, note: str = "") -> Pause:
    """Pause a run; until it is resumed no time counts as worked.

    Refuses `reason` for something else without a note, `paused` when it is paused already,
    `run-closed`, `too-early`. A repeated UUID changes nothing.
    """
    request = act.request("pause run", run=run, why=reason, note=note)
    if done := earlier(act, request):
        return outcome_of(done, Pause)
    run = working_run(run, act)
    if reason not in Pause.Reason.values or (reason == Pause.Reason.OTHER and not note.strip()):
        raise refusal("reason", _("Choose why, or say it in a few words."))
    return add_moment(Pause, run=run, act=act, request=request, reason=reason, note=note.strip())


@transaction.atomic
def resume_run(*, run: Run, act: Act) -> Pause:
    """End the pause of a run; the row returned is the end, which names the pause.

    Refuses `not-paused`, `run-closed`, `too-early` also when it would end before it began.
    A repeated UUID changes nothing.
    """
    request = act.request("resume run", run=run)
    if done := earlier(act, request):
        return outcome_of(done, Pause)
    run = making_run(run, act)
    pause = open_pause(run)
    if pause is None:
        raise refusal("not-paused", _("This run is not paused; work on."))
    if act.at < pause.happened_at:
        raise refusal("too-early", _("This lies before the pause began; set the tablet's clock."))
    return add_moment(Pause, run=run, act=act, request=request, ends=pause)
