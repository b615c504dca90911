"""Questions about what meters showed."""

from collections import defaultdict
from collections.abc import Iterable
from decimal import Decimal

from django.db.models import QuerySet

from workshop.calculations.run_costs import metered_kwh
from workshop.models import Metering, Run


def meterings_of(run: Run) -> QuerySet[Metering]:
    """Return what was noted of a run's meter, in the order in which it reached the book."""
    return run.meterings.select_related("by").order_by("pk")


def start_of(run: Run) -> Decimal | None:
    """Return what the meter showed at the start, as it was noted last; None when it was not."""
    rows = meterings_of(run).filter(what=Metering.What.START)
    return rows.values_list("kwh", flat=True).last()


def metered_by_run(keys: Iterable[int]) -> dict[int, Decimal]:
    """Return what meters say that runs used, in kWh, by the key of the run; one query."""
    rows = defaultdict(list)
    found = Metering.objects.filter(run__in=list(keys)).order_by("pk")
    for run, what, kwh in found.values_list("run", "what", "kwh"):
        rows[run].append((what, kwh))
    used = {run: metered_kwh(told) for run, told in rows.items()}
    return {run: kwh for run, kwh in used.items() if kwh is not None}
