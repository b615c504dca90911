"""Acts that move no mass are written down too."""

from django.utils import timezone

from inventory.actions.acts import Act
from inventory.calculations.fingerprints import fingerprint
from inventory.models import Change


def record_change(*, act: Act, subject: str, request: dict) -> Change:
    """Write down an act that moved no mass; the UUID may not have been used."""
    return Change.objects.create(
        uuid=act.key,
        verb=request["verb"],
        subject=subject,
        happened_at=act.at,
        recorded_at=timezone.now(),
        by=act.by,
        role=act.role,
        reason=act.reason,
        request=request,
        fingerprint=fingerprint(request),
    )
