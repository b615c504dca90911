"""What a leaf holds of an entry."""

import json
from datetime import UTC, datetime
from hashlib import sha256
from uuid import UUID

import rfc8785

from inventory.calculations.entries import change_content, change_digest, entry_hash

CONTENT = change_content(
    uuid=UUID(int=7),
    verb="hold",
    subject="ABC",
    happened_at=datetime(2026, 3, 1, tzinfo=UTC),
    recorded_at=datetime(2026, 3, 2, tzinfo=UTC),
    by=3,
    role="lead",
    reason="smells of \N{EURO SIGN}",
    fingerprint="f" * 64,
)


def test_a_leaf_is_the_sha_256_of_a_zero_and_the_digest():
    """RFC 9162, section 2.1.1."""
    digest = "ab" * 32
    assert entry_hash(digest) == sha256(b"\x00" + bytes.fromhex(digest)).hexdigest()


def test_the_digest_of_a_change_is_over_its_canonical_json():
    """RFC 8785, by the library that passes its published vectors."""
    assert change_digest(CONTENT) == sha256(rfc8785.dumps(CONTENT)).hexdigest()


def test_another_reason_is_another_digest():
    assert change_digest(CONTENT | {"reason": "smells"}) != change_digest(CONTENT)


def test_the_content_is_plain():
    assert json.loads(json.dumps(CONTENT)) == CONTENT
