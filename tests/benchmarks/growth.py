"""What a trace costs against the transfers behind a lot, and against the size of the ledger."""

from django.core.cache import cache
from django.db import connection

from inventory.models import Transfer
from inventory.queries.traces import origins_of
from tests.benchmarks.timing import load, timed
from tests.benchmarks.traces import lots_back


def run(say) -> list[list[str]]:
    """Return a row for each of the chosen lots of this ledger."""
    ledger = Transfer.objects.count()
    rows = []
    for size, lot in lots_back():
        whole = timed(lambda lot=lot: origins_of(lot)[:50], before=cache.clear)
        each = whole.median * 1000 / max(size, 1)
        cells = (f"{whole.median:.1f}", f"{whole.best:.1f}", f"{each:.1f}", load())
        rows.append([f"{ledger:,}", f"{size:,}", *cells])
    say(f"  {connection.vendor}: ledger of {ledger:,} traced for the growth table")
    return rows
