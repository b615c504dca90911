"""What a tablet keeps to work without network: open runs, bins in use, and what their codes lead to."""

from django.db.models import QuerySet

from inventory.models import Bin, Lot
from inventory.queries.bins import fills_of
from workshop.models import Run
from workshop.queries.runs import run_list

MOST_RUNS = 20
MOST_BINS = 100


def runs_to_keep() -> QuerySet[Run]:
    """Return the open runs, newest first, at most 20."""
    return run_list().open().order_by("-pk")[:MOST_RUNS]


def bins_to_keep() -> list[tuple[Bin, Lot | None]]:
    """Return the bins in use with what each holds, full ones first, at most 100; two queries."""
    bins = list(Bin.objects.filter(retired_at=None).order_by("name"))
    fills = fills_of(bins)
    bins.sort(key=lambda bin: bin.pk not in fills)
    return [(bin, fills.get(bin.pk)) for bin in bins[:MOST_BINS]]
