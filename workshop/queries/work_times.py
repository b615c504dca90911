"""Which time runs worked, by what was tapped in them."""

from collections import defaultdict
from datetime import datetime

from workshop.calculations.work_times import Moments, WorkTime, work_time
from workshop.models import Cycle, Pause, Run, Step
from workshop.queries.pauses import spans


def moments_of_runs(runs: list[Run], now: datetime) -> dict[int, Moments]:
    """Return the cycles, steps and pauses of runs, in three queries however many."""
    keys = [run.pk for run in runs]
    cycles, starts, pauses = defaultdict(list), defaultdict(list), defaultdict(list)
    for key, at in Cycle.objects.standing().filter(run__in=keys).values_list("run", "happened_at"):
        cycles[key].append(at)
    for key, *row in Step.objects.filter(run__in=keys).values_list("run", "name", "happened_at"):
        starts[key].append(tuple(row))
    for pause in Pause.objects.filter(run__in=keys, ends=None).select_related("ended_by"):
        pauses[pause.run_id].append(pause)
    found = {}
    for run in runs:
        until = run.closed_at or now
        changes = [each for each in pauses[run.pk] if each.reason == Pause.Reason.TOOLING]
        breaks = spans(pauses[run.pk], until), spans(changes, until)
        found[run.pk] = Moments(cycles[run.pk], starts[run.pk], *breaks)
    return found


def time_of(run: Run, moments: Moments, now: datetime) -> WorkTime:
    """Return the time that a run worked.

    Needs `tooling_before`: the key of the tooling of the run before on the same machine.
    """
    until = run.closed_at or now
    return work_time(moments, run.opened_at, until, register_minutes(run))


def register_minutes(run: Run) -> int:
    """Return the minutes that the register says of changing over to a run's tooling, where it was changed."""
    is_changed = run.tooling is not None and run.tooling_before != run.tooling_id
    return (run.tooling.changeover_minutes or 0) if is_changed else 0
