"""Acts that move no mass are written down too."""

from django.db import models
from django.utils import timezone

from inventory.actions.acts import Act
from inventory.actions.rows import write_rows
from inventory.calculations.fingerprints import fingerprint
from inventory.models import Change


def record_change(*, act: Act, subject: str, request: dict, row: models.Model) -> Change:
    """Write down an act that made or changed a row and moved no mass; the UUID may not have been used."""
    change = Change(
        uuid=act.key,
        verb=request["verb"],
        subject=subject[:60],
        row=row.pk,
        happened_at=act.at,
        recorded_at=timezone.now(),
        by=act.by,
        role=act.role,
        reason=act.reason,
        request=request,
        fingerprint=fingerprint(request),
    )
    write_rows([change])
    return change


def outcome_of(done: Change, model: type[models.Model]):
    """Return the row that an earlier act made or changed, as it is now, whatever it is called now."""
    return model.objects.get(pk=done.row)
