"""A fingerprint that two equal contents share, whoever wrote them down.

The content is written as canonical JSON (RFC 8785: keys sorted, no spaces, one
spelling for every string) and hashed with SHA-256. A repeated posting is known
by it: the same key with another fingerprint is another content.

Floats are refused on purpose: masses are whole numbers, and a float that had
been rounded on one device only would make two contents of one.
"""

import json
from collections.abc import Iterable, Iterator
from datetime import UTC, date, datetime
from decimal import Decimal
from hashlib import sha256
from uuid import UUID

import rfc8785


def plain(content):
    """Return the content as JSON values only: str, int, bool, None, list, dict.

    UUID becomes its text, an aware datetime UTC with six decimals, a date
    ISO 8601, Decimal its digits without trailing zeros, bytes (a photo) the
    hexadecimal SHA-256 of them, a tuple a list. Raises TypeError for anything
    else: floats, naive datetimes, keys that are not text.

    >>> plain({"on": date(2026, 3, 1), "masses": (1, 2)})
    {'on': '2026-03-01', 'masses': [1, 2]}
    """
    if content is None or isinstance(content, bool):
        return content
    if isinstance(content, dict):
        return {_key(key): plain(value) for key, value in content.items()}
    if isinstance(content, list | tuple):
        return [plain(value) for value in content]
    for kind, spell in _SPELLINGS.items():
        if isinstance(content, kind):
            return spell(content)
    raise TypeError(f"{type(content).__name__} has no place in a fingerprint")


def _key(key) -> str:
    if not isinstance(key, str):
        raise TypeError(f"the key {key!r} is not text")
    return str.__str__(key)


def _moment(moment: datetime) -> str:
    if moment.tzinfo is None:
        raise TypeError("a datetime without a time zone has no place in a fingerprint")
    return moment.astimezone(UTC).strftime("%Y-%m-%dT%H:%M:%S.%fZ")


def _digits(number: Decimal) -> str:
    if not number.is_finite():
        raise TypeError(f"{number} has no place in a fingerprint")
    written = f"{number:f}"
    shortest = written.rstrip("0").rstrip(".") if "." in written else written
    return "0" if shortest == "-0" else shortest


# A datetime is a date too, so it stands before it. Text and numbers of a
# derived class (a choice, an enumeration) are brought back to the plain class.
_SPELLINGS = {
    str: str.__str__,
    int: int,
    UUID: str,
    datetime: _moment,
    date: date.isoformat,
    Decimal: _digits,
    bytes: lambda octets: sha256(octets).hexdigest(),
}


def canonical_bytes(content) -> bytes:
    """Return the content as canonical JSON (RFC 8785), after `plain`.

    Raises TypeError where `plain` does, and ValueError for a whole number
    that JSON cannot carry exactly (beyond 2^53 - 1).

    >>> canonical_bytes({"b": 1, "a": [True, None]})
    b'{"a":[true,null],"b":1}'
    """
    return rfc8785.dumps(plain(content))


def fingerprint(content) -> str:
    """Return the hexadecimal SHA-256 of the canonical JSON of the content.

    >>> fingerprint({"a": 1, "b": 2}) == fingerprint({"b": 2, "a": 1})
    True
    """
    return sha256(canonical_bytes(content)).hexdigest()


def stored_fingerprint(document) -> str:
    """Return the fingerprint of content that was made plain before it was stored, in a fifth of the time.

    The standard library writes the same bytes as RFC 8785 where numbers are whole and
    the keys plain letters, which is so for every request and digest. Use it to check
    many; a fingerprint that is to be kept is made by `fingerprint`.

    >>> stored_fingerprint({"b": 1, "a": "\N{EURO SIGN}"}) == fingerprint({"b": 1, "a": "\N{EURO SIGN}"})
    True
    """
    return sha256(stored_text(document).encode()).hexdigest()


def stored_text(document) -> str:
    """Return content that was made plain before as canonical JSON; see `stored_fingerprint`."""
    return json.dumps(document, sort_keys=True, separators=(",", ":"), ensure_ascii=False)


def fingerprint_with(document: dict, name: str, items: Iterable) -> str:
    """Return the stored fingerprint of a document that has a list under a name, item by item.

    So the list may be of any length. The document's keys are plain letters, as for
    `stored_fingerprint`.

    >>> fingerprint_with({"b": 1}, "a", iter([2, 3])) == fingerprint({"a": [2, 3], "b": 1})
    True
    """
    digest = sha256()
    add = digest.update
    for piece in written_with(document, name, items):
        add(piece.encode())
    return digest.hexdigest()


def written_with(document: dict, name: str, items: Iterable) -> Iterator[str]:
    """Yield a document with a list under a name as canonical JSON, item by item."""
    for place, key in enumerate(sorted({*document, name})):
        yield f"{',' if place else '{'}{stored_text(key)}:"
        if key != name:
            yield stored_text(document[key])
            continue
        yield "["
        for number, item in enumerate(items):
            yield f"{',' if number else ''}{stored_text(item)}"
        yield "]"
    yield "}"
