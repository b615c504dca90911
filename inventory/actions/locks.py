"""Locks are taken in one order everywhere: bins before lots before parts, each in primary-key order.

A correction locks the postings that it mends before all of them.
"""

from collections.abc import Iterable

from django.db import models
from django.db.models import F, Q, QuerySet

from inventory.models import Bin, Lot, Posting
from inventory.queries.statements import Keys, kept
from inventory.queries.traces import batches


@kept
def bins_to_lock(keys: Keys) -> QuerySet[Bin]:
    """The bins of these primary keys with what they are kept for, in primary-key order."""
    locked = Bin.objects.select_for_update(of=("self",))
    return locked.select_related("polymer", "colour").filter(pk__in=keys).order_by("pk")


@kept
def lots_to_lock(keys: Keys) -> QuerySet[Lot]:
    """The lots of these primary keys with their material and bin, in primary-key order."""
    locked = Lot.objects.select_for_update(of=("self",))
    return locked.select_related("polymer", "colour", "bin").filter(pk__in=keys).order_by("pk")


@kept
def lots_and_fill_to_lock(keys: Keys, bin: int) -> QuerySet[Lot]:
    """The lots of these primary keys and the open lot of a bin, in primary-key order."""
    wanted = Q(pk__in=keys) | Q(bin=bin, out_mg__lt=F("in_mg"))
    locked = Lot.objects.select_for_update(of=("self",))
    return locked.select_related("polymer", "colour", "bin").filter(wanted).order_by("pk")


def lock_bins(*bins: Bin) -> dict[int, Bin]:
    """Return fresh rows of the bins, locked in primary-key order, by primary key."""
    return {bin.pk: bin for bin in bins_to_lock({bin.pk for bin in bins if bin is not None})}


def lock_postings(*postings: Posting) -> None:
    """Lock postings about to be corrected, before all else, in primary-key order.

    Without it a draft could be read half before and half after another correction of the same
    posting. The lock lets others still name the postings, as a reversal does.
    """
    keys = [posting.pk for posting in postings]
    rows = Posting.objects.select_for_update(no_key=True).filter(pk__in=keys).order_by("pk")
    list(rows.values_list("pk", flat=True))


def hold_still(keys: Iterable[int]) -> None:
    """Lock lots, by primary key and in that order, without reading them: there may be tens of thousands."""
    for some in batches(keys):
        rows = Lot.objects.select_for_update().filter(pk__in=some).order_by("pk")
        list(rows.values_list("pk", flat=True))


def lock_lots(*lots: Lot) -> list[Lot]:
    """Return fresh rows of the lots in the order given, locked in primary-key order.

    Their material and bin come along: every guard asks for them.
    """
    found = {lot.pk: lot for lot in lots_to_lock({lot.pk for lot in lots})}
    return [found[lot.pk] for lot in lots]


def lock_with_fill(bin: Bin, *lots: Lot) -> tuple[Lot | None, list[Lot]]:
    """Return what a locked bin holds now, if anything, and fresh rows of the lots, all locked.

    One statement finds and locks them together, in primary-key order, so that none can
    change between the finding and the locking.
    """
    rows = lots_and_fill_to_lock({lot.pk for lot in lots}, bin.pk)
    found = {lot.pk: lot for lot in rows}
    fills = [lot for lot in found.values() if lot.bin_id == bin.pk and lot.held_mg]
    return (fills[0] if fills else None), [found[lot.pk] for lot in lots]


def fresh(row: models.Model):
    """Return the row as it is now, locked; what another tablet saved meanwhile is not undone.

    Others may still name it: a run is opened on a machine while it is loaded for another.
    """
    return type(row).objects.select_for_update(of=("self",), no_key=True).get(pk=row.pk)
