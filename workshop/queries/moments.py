"""What happened in a run while it made things, as one list."""

from itertools import chain

from workshop.models import Run
from workshop.models.moments import Moment

MOST = 12


def latest_moments(run: Run, most: int = MOST) -> list[Moment]:
    """Return the newest of all that happened in a run, newest first; four queries."""
    cycles = run.cycles.select_related("by", "undoes", "undone_by")
    steps = run.steps.select_related("by")
    pauses = run.pauses.select_related("by", "ends")
    readings = run.readings.select_related("by", "polymer")
    newest = [
        rows.order_by("-happened_at", "-id")[:most] for rows in (cycles, steps, pauses, readings)
    ]
    found = sorted(chain(*newest), key=lambda row: (row.happened_at, row.pk), reverse=True)
    return found[:most]
