"""How long runs of a design took, by their cycles and steps."""

from collections import defaultdict

from django.utils import timezone

from products.models import Design
from workshop.calculations.cycles import CycleStatistics, cycle_statistics
from workshop.calculations.plans import Times, learned_times
from workshop.models import Cycle, Pause, Run, Step
from workshop.queries.expectations import MOST_RUNS
from workshop.queries.pauses import spans


def times_of(design: Design) -> Times | None:
    """Return the median times of the newest closed runs of a design that counted cycles, in four queries."""
    counted = Run.objects.filter(
        design=design, operation=design.made_by, closed_at__isnull=False, is_abandoned=False
    ).filter(pk__in=Cycle.objects.values("run"))
    keys = list(counted.values_list("pk", flat=True)[:MOST_RUNS])
    found = [statistics for statistics in statistics_of(keys) if statistics.times]
    steps = [{step.name: step.times.median_s for step in each.steps} for each in found]
    return learned_times([each.times.median_s for each in found], steps)


def statistics_of(keys: list[int]) -> list[CycleStatistics]:
    """Return what the taps of some closed runs say, in three queries however many runs."""
    cycles, steps, pauses = defaultdict(list), defaultdict(list), defaultdict(list)
    for cycle in Cycle.objects.standing().filter(run__in=keys).in_order():
        cycles[cycle.run_id].append((cycle.happened_at, cycle.pieces))
    for step in Step.objects.filter(run__in=keys).in_order():
        steps[step.run_id].append((step.name, step.happened_at))
    rows = Pause.objects.filter(run__in=keys, ends__isnull=True).select_related("ended_by")
    for pause in rows.in_order():
        pauses[pause.run_id].append(pause)
    now = timezone.now()
    return [cycle_statistics(cycles[key], steps[key], spans(pauses[key], now)) for key in keys]
