"""What every act on a run that is making shares: an open run, a believable time, no pause."""

from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from inventory.actions.acts import CLOCK_SLACK, Act
from inventory.actions.changes import record_change
from inventory.actions.refusals import refusal
from inventory.actions.rows import write_rows
from workshop.actions.runs import locked_open_run
from workshop.models import Run
from workshop.models.moments import Moment
from workshop.queries.pauses import open_pause


def making_run(run: Run, act: Act) -> Run:
    """Return a fresh row of an open run, locked; refuses `run-closed` and `too-early`.

    A tablet whose clock has lost its day would otherwise write cycles of years.
    """
    run = locked_open_run(run)
    if act.at < run.opened_at - CLOCK_SLACK:
        raise refusal(
            "too-early",
            _("This lies before the run was opened; set the tablet's clock or the time."),
        )
    return run


def working_run(run: Run, act: Act) -> Run:
    """Return a fresh row of an open run that is not paused; refuses `paused` too."""
    run = making_run(run, act)
    if open_pause(run):
        raise refusal("paused", _("This run is paused; resume it first."))
    return run


def add_moment(model: type[Moment], *, run: Run, act: Act, request: dict, **fields) -> Moment:
    """Write one row of what happened in a run, and the change that says so."""
    row = model(
        run=run,
        uuid=act.key,
        by=act.by,
        happened_at=act.at,
        recorded_at=timezone.now(),
        **fields,
    )
    write_rows([row])
    record_change(act=act, subject=run.code, request=request, row=row)
    return row
