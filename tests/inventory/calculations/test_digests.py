from datetime import UTC, datetime, timedelta, timezone
from hashlib import sha256

from inventory.calculations.digests import clock_text, posting_digest, transfer_content

HEAD = {"id": 7, "kind": "move"}
MOVE = transfer_content("ABC", "DEF", 1500, "move", 0, "scale", "S1", 408)


def test_one_moment_has_one_text():
    warsaw = datetime(2026, 7, 1, 10, 0, tzinfo=timezone(timedelta(hours=2)))
    assert clock_text(warsaw) == clock_text(datetime(2026, 7, 1, 8, 0, tzinfo=UTC))
    assert clock_text(warsaw) == "2026-07-01T08:00:00.000000Z"


def test_the_digest_is_the_sha_256_of_canonical_json():
    """RFC 8785: keys in order, no spaces."""
    written = (
        b'{"id":7,"kind":"move","transfers":[["ABC","DEF",1500,"move",false,"scale","S1",408]]}'
    )
    assert posting_digest(HEAD, [MOVE]) == sha256(written).hexdigest()


def test_another_milligram_is_another_digest():
    forged = [*MOVE[:2], 1501, *MOVE[3:]]
    assert posting_digest(HEAD, [forged]) != posting_digest(HEAD, [MOVE])
