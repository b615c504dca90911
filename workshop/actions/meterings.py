"""A meter of energy is read at the start and the end of a run, or what was used is noted at once."""

from decimal import Decimal

from django.db import transaction
from django.utils.translation import gettext_lazy as _

from inventory.actions.acts import CLOCK_SLACK, Act, earlier
from inventory.actions.changes import outcome_of
from inventory.actions.refusals import refusal
from workshop.actions.moments import add_moment
from workshop.models import Metering, Run
from workshop.queries.meterings import start_of

MOST_SHOWN, MOST_USED = Decimal(100_000_000), Decimal(100_000)


@transaction.atomic
def note_meter(*, run: Run, what: str, kwh: Decimal, act: Act) -> Metering:
    """Note what a meter shows, in kWh; also after the run was closed, for no mass moves by it.

    What is noted last counts, and a new start begins anew. Refuses `absurd` below zero or beyond what
    a meter shows, `no-start` for an end without a start, `meter-below` for an end below the start,
    `run-abandoned` and `too-early`. A repeated UUID changes nothing.
    """
    request = act.request("note meter", run=run, what=what, kwh=kwh)
    if done := earlier(act, request):
        return outcome_of(done, Metering)
    run = Run.objects.select_for_update().get(pk=run.pk)
    guard_run(run, act)
    guard_value(what, kwh)
    if what == Metering.What.END:
        guard_end(run, kwh)
    return add_moment(Metering, run=run, act=act, request=request, what=what, kwh=kwh)


def guard_run(run: Run, act: Act) -> None:
    """Refuse `run-abandoned`, and `too-early` for a tablet whose clock has lost its day."""
    if run.is_abandoned:
        raise refusal("run-abandoned", _("This run was abandoned; its energy counts nowhere."))
    if act.at < run.opened_at - CLOCK_SLACK:
        raise refusal(
            "too-early",
            _("This lies before the run was opened; set the tablet's clock or the time."),
        )


def guard_value(what: str, kwh: Decimal) -> None:
    """Refuse a value that no meter shows, or that no run uses."""
    most = MOST_USED if what == Metering.What.USED else MOST_SHOWN
    if not 0 <= kwh <= most:
        raise refusal(
            "absurd",
            _("It lies between 0 and %(most)s kWh; read the meter again."),
            most=f"{most:f}",
        )


def guard_end(run: Run, kwh: Decimal) -> None:
    """Refuse an end without a start, or below it."""
    start = start_of(run)
    if start is None:
        raise refusal(
            "no-start",
            _("The meter was not read at the start; note what was used, or the start first."),
        )
    if kwh < start:
        raise refusal(
            "meter-below",
            _(
                "The meter showed %(start)s kWh at the start, so it cannot show less; read it again."
            ),
            start=f"{start.normalize():f}",
        )
