"""A correction behind lots that have given already, as rows of the ledger."""

from uuid import uuid4

from django.utils import timezone

from inventory.models import Lot, Posting, Transfer


def came_from(transfer: Transfer, lot: Lot, by) -> Posting:
    """Correct a transfer: its mass came from another lot; the counters follow."""
    now = timezone.now()
    correction = Posting.objects.create(
        uuid=uuid4(),
        kind=Posting.Kind.CORRECT,
        replaces=transfer.posting,
        happened_at=now,
        recorded_at=now,
        by=by,
        reason="the wrong bin was scanned",
        request={},
        fingerprint="0" * 64,
        digest="0" * 64,
    )
    fields = {"posting": correction, "mass_mg": transfer.mass_mg, "role": transfer.role}
    Transfer.objects.create(
        source=transfer.target, target=transfer.source, reverses=transfer, **fields
    )
    Transfer.objects.create(source=lot, target=transfer.target, **fields)
    Lot.objects.filter(pk=transfer.source_id).update(out_mg=0)
    Lot.objects.filter(pk=lot.pk).update(out_mg=transfer.mass_mg)
    return correction
