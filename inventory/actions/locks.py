"""Locks are taken in one order everywhere: bins before lots, each in primary-key order."""

from django.db import models
from django.db.models import F, Q

from inventory.models import Bin, Lot


def lock_bins(*bins: Bin) -> dict[int, Bin]:
    """Return fresh rows of the bins, locked in primary-key order, by primary key."""
    keys = {bin.pk for bin in bins if bin is not None}
    rows = Bin.objects.select_for_update().filter(pk__in=keys).order_by("pk")
    return {bin.pk: bin for bin in rows}


def lock_lots(*lots: Lot) -> list[Lot]:
    """Return fresh rows of the lots in the order given, locked in primary-key order.

    Their material and bin come along: every guard asks for them.
    """
    keys = {lot.pk for lot in lots}
    locked = Lot.objects.select_for_update(of=("self",))
    rows = locked.select_related("polymer", "colour", "bin").filter(pk__in=keys).order_by("pk")
    found = {lot.pk: lot for lot in rows}
    return [found[lot.pk] for lot in lots]


def lock_with_fill(bin: Bin, *lots: Lot) -> tuple[Lot | None, list[Lot]]:
    """Return what a locked bin holds now, if anything, and fresh rows of the lots, all locked.

    One statement finds and locks them together, in primary-key order, so that none can
    change between the finding and the locking.
    """
    keys = {lot.pk for lot in lots}
    wanted = Q(pk__in=keys) | Q(bin=bin, out_mg__lt=F("in_mg"))
    locked = Lot.objects.select_for_update(of=("self",))
    rows = locked.select_related("polymer", "colour", "bin").filter(wanted).order_by("pk")
    found = {lot.pk: lot for lot in rows}
    fills = [lot for lot in found.values() if lot.bin_id == bin.pk and lot.held_mg]
    return (fills[0] if fills else None), [found[lot.pk] for lot in lots]


def fresh(row: models.Model):
    """Return the row as it is now, locked; what another tablet saved meanwhile is not undone."""
    return type(row).objects.select_for_update(of=("self",)).get(pk=row.pk)
