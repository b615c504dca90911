"""What stands in the Merkle tree for an entry of the book.

The data of a leaf are the 32 bytes of the entry's digest: SHA-256 over the RFC 8785
canonical JSON of its content. So whoever holds one entry can check it without the others.
"""

from inventory.calculations.digests import clock_text
from inventory.calculations.fingerprints import stored_fingerprint
from inventory.calculations.merkle import leaf_hash


def entry_hash(digest: str) -> str:
    """Return the leaf hash (hex) of an entry with this digest (hex)."""
    return leaf_hash(bytes.fromhex(digest)).hex()


def change_content(  # noqa: PLR0913 (one for each field that counts)
    *, uuid, verb, subject, happened_at, recorded_at, by, role, reason, fingerprint
) -> dict:
    """Return the fields of a change that its digest covers, as plain values; the person by primary key."""
    return {
        "uuid": str(uuid),
        "verb": verb,
        "subject": subject,
        "happened_at": clock_text(happened_at),
        "recorded_at": clock_text(recorded_at),
        "by": by,
        "role": role,
        "reason": reason,
        "fingerprint": fingerprint,
    }


def change_digest(content: dict) -> str:
    """Return the SHA-256 (hex) over the canonical JSON of a change."""
    return stored_fingerprint(content)
