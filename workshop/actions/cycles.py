"""Cycles are counted, and taken back."""

from uuid import UUID

from django.db import transaction
from django.utils.translation import gettext_lazy as _

from inventory.actions.acts import Act, earlier
from inventory.actions.changes import outcome_of
from inventory.actions.refusals import refusal
from workshop.actions.moments import add_moment, making_run, working_run
from workshop.models import Cycle, Run
from workshop.queries.cycles import last_cycle, pieces_of_run


@transaction.atomic
def count_cycle(*, run: Run, act: Act) -> Cycle:
    """Count one cycle that is done, with the pieces that the tooling or the design gives at once.

    Refuses `run-closed`, `paused`, `too-early`. A repeated UUID changes nothing.
    """
    request = act.request("count cycle", run=run)
    if done := earlier(act, request):
        return outcome_of(done, Cycle)
    run = working_run(run, act)
    return add_moment(Cycle, run=run, act=act, request=request, pieces=pieces_of_run(run))


@transaction.atomic
def undo_cycle(*, run: Run, act: Act, cycle: UUID | None = None) -> Cycle:
    """Take a cycle back, by its UUID or else the last one; the tap and its undoing both stay on record.

    Refuses `run-closed`, `too-early`, `no-cycle` when there is none, and `undone` when it was
    taken back before. A repeated UUID changes nothing.
    """
    request = act.request("undo cycle", run=run, cycle=cycle)
    if done := earlier(act, request):
        return outcome_of(done, Cycle)
    run = making_run(run, act)
    found = run.cycles.filter(uuid=cycle).first() if cycle else last_cycle(run)
    if found is None or found.undoes_id:
        raise refusal("no-cycle", _("No such cycle was counted in this run; nothing to take back."))
    if run.cycles.filter(undoes=found).exists():
        raise refusal("undone", _("This cycle was taken back before; look at the count."))
    return add_moment(Cycle, run=run, act=act, request=request, pieces=0, undoes=found)
