"""The digest of a posting: what a later change to the book would have to forge."""

from collections.abc import Iterable
from datetime import UTC, datetime

from inventory.calculations.fingerprints import fingerprint


def clock_text(moment: datetime) -> str:
    """Return a moment as fixed-length UTC text."""
    return moment.astimezone(UTC).strftime("%Y-%m-%dT%H:%M:%S.%fZ")


def transfer_content(source, target, mass_mg, role, melted, basis, scale, uncertainty_ug) -> list:  # noqa: PLR0913, PLR0917
    """Return one transfer as a list of plain values, lots by code, the scale by key, mass in mg."""
    return [source, target, mass_mg, role, bool(melted), basis, scale, uncertainty_ug]


def posting_content(  # noqa: PLR0913 (one for each field that counts)
    *, uuid, kind, happened_at, recorded_at, by, reference, reason, fingerprint, reverses, replaces
) -> dict:
    """Return the fields of a posting that its digest covers, as plain values.

    People and scales stand in it by primary key, since names may change later.
    """
    return {
        "uuid": str(uuid),
        "kind": str(kind),
        "happened_at": clock_text(happened_at),
        "recorded_at": clock_text(recorded_at),
        "by": by,
        "reference": reference,
        "reason": reason,
        "fingerprint": fingerprint,
        "reverses": str(reverses) if reverses else None,
        "replaces": str(replaces) if replaces else None,
    }


def posting_digest(head: dict, transfers: Iterable[list]) -> str:
    """Return the SHA-256 (hex) over the RFC 8785 canonical JSON of a posting and its transfers."""
    return fingerprint({**head, "transfers": list(transfers)})
