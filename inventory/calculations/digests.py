"""The digest of a posting: what a later change to the book would have to forge."""

from collections.abc import Iterable
from datetime import UTC, datetime

from inventory.calculations.fingerprints import fingerprint


def clock_text(moment: datetime) -> str:
    """Return a moment as fixed-length UTC text."""
    return moment.astimezone(UTC).strftime("%Y-%m-%dT%H:%M:%S.%fZ")


def transfer_content(source, target, mass_mg, role, melted, basis, scale, uncertainty_ug) -> list:  # noqa: PLR0913
    """Return one transfer as a list of plain values, lots by code, mass in mg."""
    return [source, target, mass_mg, role, bool(melted), basis, scale, uncertainty_ug]


def posting_digest(head: dict, transfers: Iterable[list]) -> str:
    """Return the SHA-256 (hex) over the RFC 8785 canonical JSON of a posting and its transfers."""
    return fingerprint({**head, "transfers": list(transfers)})
