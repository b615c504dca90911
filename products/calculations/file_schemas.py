"""What the schemas of our files are put together from, and how a fault is told with its place.

A schema is JSON Schema 2020-12; a place is a JSON pointer (RFC 6901).
"""

from dataclasses import dataclass

from products.calculations.sentences import Sentence

LONGEST_POINTER = 200
# No control characters but tab and new line, and no half of a surrogate pair.
LINE = r"^[^\u0000-\u001f\ud800-\udfff]*$"
LINES = r"^[^\u0000-\u0008\u000b-\u001f\ud800-\udfff]*$"


@dataclass(frozen=True)
class FileFault:
    """What is wrong in a file, and where: a JSON pointer (RFC 6901)."""

    pointer: str
    sentence: Sentence


def text(most: int, pattern: str = LINES, least: int = 0) -> dict:
    """Return the schema of a text."""
    return {"type": "string", "minLength": least, "maxLength": most, "pattern": pattern}


def whole(least: int, most: int) -> dict:
    """Return the schema of a whole number."""
    return {"type": "integer", "minimum": least, "maximum": most}


def decimal(digits: int, places: int, sign: str = "") -> dict:
    """Return the schema of a decimal number written as text."""
    pattern = f"^{sign}[0-9]{{1,{digits}}}([.][0-9]{{1,{places}}})?$"
    return {"type": "string", "maxLength": 20, "pattern": pattern}


def length() -> dict:
    """Return the schema of a length in mm above zero and up to 10 m, to the um, written as text."""
    pattern = "^(?![0.]*$)(10000([.]0{1,3})?|[0-9]{1,4}([.][0-9]{1,3})?)$"
    return {"type": "string", "maxLength": 9, "pattern": pattern}


def or_null(schema: dict) -> dict:
    """Return the schema of a value that may be null."""
    return schema | {"type": [schema["type"], "null"]}


def one_of(*names: str) -> dict:
    """Return the schema of a choice."""
    return {"type": "string", "enum": list(names)}


def record(required: tuple[str, ...], **fields: dict) -> dict:
    """Return the schema of an object; a field that is not named is refused."""
    return {
        "type": "object",
        "properties": fields,
        "required": list(required),
        "additionalProperties": False,
    }


def many(most: int, schema: dict) -> dict:
    """Return the schema of a list."""
    return {"type": "array", "maxItems": most, "items": schema}


def pointer_to(path) -> str:
    """Return a path of keys and places as a JSON pointer that can be shown.

    >>> pointer_to(["items", 0, "a/b"])
    '/items/0/a~1b'
    """
    parts = (str(part).replace("~", "~0").replace("/", "~1") for part in path)
    whole_pointer = "".join(f"/{part}" for part in parts)[:LONGEST_POINTER]
    return "".join(sign if sign.isprintable() else "?" for sign in whole_pointer)
