"""Questions about the pauses of a run."""

from datetime import datetime

from django.db.models import QuerySet

from inventory.queries.statements import kept
from workshop.models import Pause, Run


def pauses_of(run: Run) -> QuerySet[Pause]:
    """Return the pauses of a run in order, each with the row that ended it, if any."""
    rows = run.pauses.filter(ends__isnull=True).select_related("ended_by", "by")
    return rows.in_order()


def open_pause(run: Run) -> Pause | None:
    """Return the pause that a run is in, or None."""
    return next(iter(open_pauses(run.pk)), None)


@kept
def open_pauses(run: int) -> QuerySet[Pause]:
    """The pauses of a run that nothing ended, the latest first; there is one at most."""
    rows = Pause.objects.filter(run=run, ends__isnull=True, ended_by__isnull=True)
    return rows.select_related("ended_by", "by").in_order().reverse()


def spans(pauses: list[Pause], now: datetime) -> list[tuple[datetime, datetime]]:
    """Return the beginning and end of pauses; one that goes on ends now."""
    return [(pause.happened_at, end_of(pause) or now) for pause in pauses]


def end_of(pause: Pause) -> datetime | None:
    """Return when a pause ended, or None while it goes on."""
    ended_by = getattr(pause, "ended_by", None)
    return ended_by.happened_at if ended_by else None
