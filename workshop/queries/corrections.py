"""What a correction means for runs: their charges, and the gaps that change."""

from collections.abc import Iterable

from workshop.models import Charge


def charges_of(lots: Iterable) -> dict[int, Charge]:
    """Return the charges of some lots with their runs, by the lot's primary key."""
    keys = [key for key in lots if isinstance(key, int)]
    rows = Charge.objects.select_related("run__machine", "run__design").filter(lot__in=keys)
    return {charge.lot_id: charge for charge in rows}
